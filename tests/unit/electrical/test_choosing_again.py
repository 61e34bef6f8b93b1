"""Wire up knows the neighbours: choosing one run again with them in place gains nothing."""

import copy
from dataclasses import replace

from electrical.facts import Facts, load_facts
from electrical.models import CircuitRole
from electrical.wiring.choosing import Chooser, take
from electrical.wiring.offer import Offer
from fitout.jobs.models import Job


def all_by_hand_but(facts: Facts, chooser: Chooser, circuit_id: int) -> Facts:
    """Everything as chosen, and fixed, one circuit apart."""
    rows = []
    for row in facts.circuits:
        circuit = copy.copy(row)
        if str(row.pk) in chooser.chosen:
            take(circuit, chooser.chosen[str(row.pk)], chooser.offer)
        is_fixed = row.pk != circuit_id
        circuit.cable_set_by_hand = circuit.protection_set_by_hand = is_fixed
        rows.append(circuit)
    return replace(facts, circuits=tuple(rows))


def test_a_charging_run_is_not_chosen_for_neighbours_that_are_not_there(demo: None) -> None:
    """Before its batteries had leads, a run of 30 A got 25 mm² behind a fuse of 110 A."""
    facts = load_facts(Job.objects.get(number=142))
    chooser = Chooser(facts, Offer(facts), keeps_together=False)
    chooser.choices()
    runs = [
        c for c in facts.circuits if c.role == CircuitRole.CHARGING and str(c.pk) in chooser.chosen
    ]
    assert len(runs) > 2
    for run in runs:
        alone = all_by_hand_but(facts, chooser, run.pk)
        again = Chooser(alone, Offer(alone), keeps_together=False).choices()[str(run.pk)]
        assert again.cost >= chooser.chosen[str(run.pk)].cost - 0.005, run.label
