"""Choosing cable and fuse of every circuit together, and using what was found."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest

from catalogue.models import Part
from electrical import circuits, joint_choices
from electrical.check import check
from electrical.core.findings import Severity
from electrical.facts import load_facts
from electrical.joint_page import JointPage
from electrical.models import Circuit, JointChoice, WorkStatus
from electrical.wiring.offer import Offer, cost_of
from electrical.wiring.together import Row, Together, choose_together, undominated
from electrical.wiring.wire_up import wire_up
from electrical.worked_out import CannotWorkOut
from fitout.jobs.models import Job
from fitout.kit.models import AuditEntry, StaleVersion, User
from fitout.kit.undo import undo
from tests.factories.electrical import make_load, make_protection, make_small_vessel, usual_loads

pytestmark = pytest.mark.django_db
AT = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


@pytest.fixture
def by(estimator: User) -> User:
    return estimator


@pytest.fixture
def job(by: User) -> Job:
    job = make_small_vessel(by, loads=usual_loads())
    wire_up(job, by)
    return job


def thicken(job: Job, size_mm2: str = "16") -> None:
    cable = Part.objects.get(cabledata__size_mm2=Decimal(size_mm2), cabledata__colour="red")
    Circuit.objects.filter(job=job).update(cable=cable)


def found(job: Job) -> Together:
    return choose_together(load_facts(job))


def row_of(together: Together, circuit: Circuit) -> Row:
    return next(row for row in together.rows if row.circuit_id == circuit.pk)


def pump(job: Job) -> Circuit:
    return Circuit.objects.get(job=job, name="Wash pump")


def made(job: Job, by: User) -> JointChoice:
    return joint_choices.make(joint_choices.ask_for(job, by=by, at=AT), now=AT)


def test_what_is_thicker_than_needed_becomes_thinner_and_every_rule_holds(
    job: Job, by: User
) -> None:
    thicken(job)
    together = found(job)
    now, then = together.columns["now"], together.columns["together"]
    assert now.cost is not None and then.cost is not None
    assert then.cost < now.cost
    assert then.mass_kg <= now.mass_kg
    assert then.stops == 0
    assert together.is_proven, together.why_not_proven


def test_the_joint_choice_never_costs_more_than_what_wire_up_takes(job: Job) -> None:
    columns = found(job).columns
    assert columns["one"].stops == 0
    assert (columns["together"].cost or 0) <= (columns["one"].cost or 0) + 0.005


def test_neither_does_it_bring_more_to_look_at(job: Job) -> None:
    columns = found(job).columns
    assert columns["together"].stops <= columns["one"].stops
    assert columns["together"].attentions <= columns["one"].attentions


def test_the_price_is_cable_both_ways_and_the_fuses(job: Job) -> None:
    circuit = pump(job)
    facts = load_facts(job)
    length_m = check(job).runs[circuit.pk].length_m
    assert length_m is not None and circuit.cable is not None
    priced = {part.pk: cost_of(part) for part in Offer(facts).cables}
    expected = 2 * length_m * priced[circuit.cable_id or 0] + 2.00
    assert row_of(found(job), circuit).now.cost == pytest.approx(expected)


def test_each_cable_says_what_the_next_cheaper_would_break(job: Job) -> None:
    decided = row_of(found(job), pump(job)).decided
    assert decided
    assert all(reason.message and reason.source for reason in decided)


def test_it_tells_which_findings_it_would_do_away_with(job: Job) -> None:
    thin = Part.objects.get(cabledata__size_mm2=1, cabledata__colour="red")
    Circuit.objects.filter(pk=pump(job).pk).update(cable=thin, length_override_m=Decimal("15"))
    together = found(job)
    assert together.added == ()
    assert any(words.startswith("Voltage drop at the device") for words in together.cleared)


def test_what_a_person_chose_stays_and_is_named(job: Job, by: User) -> None:
    circuit = pump(job)
    thick = Part.objects.get(cabledata__size_mm2=25, cabledata__colour="red")
    circuits.edit(circuit, by=by, version=circuit.version, cable=thick)
    row = row_of(found(job), circuit)
    assert row.kept == "chosen by hand"
    assert row.together.cable_id == thick.pk
    joint_choices.use(made(job, by), by=by)
    assert pump(job).cable_id == thick.pk
    assert not pump(job).chosen_together


def test_nothing_to_choose_is_said(job: Job) -> None:
    Circuit.objects.filter(job=job).update(cable_set_by_hand=True)
    with pytest.raises(CannotWorkOut, match="chosen by hand"):
        found(job)


def test_using_it_is_one_change_and_undo_takes_all_of_it_back(job: Job, by: User) -> None:
    thicken(job)
    before = {c.pk: (c.cable_id, c.protection_id) for c in Circuit.objects.filter(job=job)}
    choice = made(job, by)
    entries = AuditEntry.objects.count()
    assert joint_choices.use(choice, by=by) > 0
    assert AuditEntry.objects.count() == entries + 1
    stored = {row["circuit_id"]: row["together"]["cable_id"] for row in choice.found["rows"]}
    assert {c.pk: c.cable_id for c in Circuit.objects.filter(job=job)} == stored
    undo(AuditEntry.objects.latest("pk"), by=by)
    after = {c.pk: (c.cable_id, c.protection_id) for c in Circuit.objects.filter(job=job)}
    assert after == before
    assert not Circuit.objects.filter(job=job, chosen_together=True).exists()


def test_a_circuit_changed_since_stops_all_of_it(job: Job, by: User) -> None:
    thicken(job)
    choice = made(job, by)
    circuit = pump(job)
    circuits.edit(circuit, by=by, version=circuit.version, note="behind the panel")
    assert JointPage(choice).is_out_of_date
    before = set(Circuit.objects.filter(job=job).values_list("pk", "cable_id"))
    with pytest.raises(StaleVersion):
        joint_choices.use(choice, by=by)
    assert set(Circuit.objects.filter(job=job).values_list("pk", "cable_id")) == before


def test_wire_up_leaves_a_joint_choice_alone_while_it_holds(job: Job, by: User) -> None:
    joint_choices.use(made(job, by), by=by)
    before = {c.pk: c.cable_id for c in Circuit.objects.filter(job=job)}
    wire_up(job, by)
    assert {c.pk: c.cable_id for c in Circuit.objects.filter(job=job)} == before
    assert pump(job).chosen_together
    longer = pump(job)
    circuits.edit(longer, by=by, version=longer.version, length_override_m=Decimal("40"))
    wire_up(job, by)
    assert pump(job).cable_id != before[longer.pk]
    assert not pump(job).chosen_together


def test_a_rule_nothing_on_offer_can_meet_is_named_with_its_circuit(by: User) -> None:
    heavy = make_load("Deck winch", current_a="290", function="winch", nature="resistive")
    job = make_small_vessel(by, loads=[(heavy, "DS"), *usual_loads()])
    make_protection("class_t", "400")
    wire_up(job, by)
    winch = Circuit.objects.get(job=job, name="Deck winch")
    together = found(job)
    row = row_of(together, winch)
    assert {reason.title for reason in row.unmet} == {"Device rating against the conductor"}
    assert row.together.parts == row.now.parts
    assert not together.is_proven
    assert winch.label in together.why_not_proven
    assert check(job).severity_of(winch) in (Severity.STOP, Severity.ATTENTION)


def test_one_at_a_time_is_asked_for_and_it_keeps_its_trouble(job: Job, by: User) -> None:
    first = joint_choices.ask_for(job, by=by, at=AT)
    assert joint_choices.ask_for(job, by=by, at=AT).pk == first.pk
    Circuit.objects.filter(job=job).update(protection_set_by_hand=True)
    done = joint_choices.make(first, now=AT)
    assert done.status == WorkStatus.FAILED
    assert "chosen by hand" in done.trouble
    again = joint_choices.ask_for(job, by=by, at=AT)
    assert again.pk != first.pk
    assert job.joint_choices.count() == 1


def test_a_smaller_device_of_a_kind_is_never_dropped_for_a_larger(job: Job) -> None:
    facts = load_facts(job)
    circuit = facts.circuit_by_id[pump(job).pk]
    offered = Offer(facts).devices_for(circuit)
    kept = undominated(offered)
    smallest = min(d.protection.rating_a for d in offered)
    assert [d.protection.rating_a for d in kept] == [smallest]
