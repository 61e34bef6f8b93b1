"""Proposing cable and device for one circuit, and for a whole design in turn."""

from dataclasses import replace
from itertools import product
from typing import Any

import pytest

from electrical.core.asked import ASKED_RULES, broken_rules
from electrical.core.check import check_design
from electrical.core.design import Design, DropClass, Route
from electrical.core.errors import BadInput
from electrical.core.facts import gather, with_choice
from electrical.core.findings import Severity
from electrical.core.parts import DeviceType
from electrical.core.propose import (
    Proposal,
    propose_circuit,
    propose_design,
    propose_nearest,
    with_proposal,
)
from tests.unit.core.designs import battery, branch, design, feeder, lamp
from tests.unit.core.offers import BLADES, CABLES, STRIPS, devices


def proposed(net: Design, circuit_id: str, **offers: Any) -> Proposal:
    facts, _voltages = gather(net)
    given = {"cables": CABLES, "devices": (*BLADES, *STRIPS)} | offers
    return propose_circuit(facts[circuit_id], **given)


def bare(**changes: Any) -> Any:
    return branch(cable=None, protection=None, **changes)


def test_the_cheapest_pair_that_holds_every_rule_is_proposed() -> None:
    net = design(feeder(), bare(drop_class=DropClass.CRITICAL))
    found = proposed(net, "C1")
    assert found.cable is not None
    assert found.device is not None
    assert (found.cable.key, found.device.protection.rating_a) == ("4", 7.5)
    assert found.cost == pytest.approx(6.0 * (0.5 + 0.6 * 4) + 1.5)
    assert found.mass_kg == pytest.approx(6.0 * (0.03 + 0.02 * 4) + 0.05)


def test_the_proposal_holds_when_the_whole_design_is_checked() -> None:
    circuit = bare(drop_class=DropClass.CRITICAL)
    net = design(feeder(), circuit)
    done = design(feeder(), with_proposal(circuit, proposed(net, "C1")))
    bad = {Severity.STOP, Severity.ATTENTION}
    checks = check_design(done).circuits["C1"].checks
    assert not [c.message for c in checks if c.rule_id in ASKED_RULES and c.severity in bad]


def test_nothing_cheaper_would_hold() -> None:
    """Every cheaper pair breaks a rule when the whole design is checked."""
    circuit = bare(drop_class=DropClass.CRITICAL)
    net = design(feeder(), circuit)
    found = proposed(net, "C1", devices=BLADES)
    bad = {Severity.STOP, Severity.ATTENTION}
    for cable, device in product(CABLES, BLADES):
        cost = 6.0 * cable.cost_per_m + device.cost
        if cost >= found.cost - 1e-9:
            continue
        tried = Proposal(circuit_id="C1", cable=cable, device=device)
        result = check_design(design(feeder(), with_proposal(circuit, tried)))
        assert any(
            c.rule_id in ASKED_RULES and c.severity in bad for c in result.circuits["C1"].checks
        )


def test_a_device_on_hand_costs_nothing_more() -> None:
    """A dearer one that is there already is taken before a cheaper one that is not."""
    net = design(feeder(), bare(drop_class=DropClass.CRITICAL))
    bought = proposed(net, "C1", devices=BLADES)
    assert bought.device is not None
    there = replace(bought.device, key="there", cost=80.0, on_hand=1)
    found = proposed(net, "C1", devices=(*BLADES, there))
    assert found.device == there
    assert found.cost == pytest.approx(bought.cost - bought.device.cost)


def test_only_what_is_not_on_hand_is_paid_for() -> None:
    one = replace(BLADES[0], cost=3.0, on_hand=1)
    assert [one.cost_of(needed) for needed in (0, 1, 2, 3)] == [0.0, 0.0, 3.0, 6.0]


def test_it_says_what_the_next_cheaper_cable_would_break() -> None:
    found = proposed(design(feeder(), bare(drop_class=DropClass.CRITICAL)), "C1")
    assert [finding.rule_id for finding in found.decided_by] == ["drop"]
    assert "above the limit for critical circuits of 3 %" in found.decided_by[0].message


def test_a_motor_gets_a_device_that_holds_its_start() -> None:
    pump = lamp(label="Pump", current_a=6.0, continuous=False, is_motor=True, start_current_a=30.0)
    found = proposed(design(feeder(), bare(loads=(pump,))), "C1")
    assert found.device is not None
    assert found.device.protection.rating_a == 20.0


def test_a_rule_that_is_only_wished_for_gives_way() -> None:
    pump = lamp(label="Pump", current_a=9.0, continuous=False, is_motor=True, start_current_a=9.5)
    found = proposed(design(feeder(), bare(loads=(pump,))), "C1")
    assert found.is_complete


def test_missing_data_is_named() -> None:
    found = proposed(design(feeder(), bare(route=None, loads=(lamp(current_a=None),))), "C1")
    assert not found.is_complete
    assert found.missing == ("current of Lamp", "length of the run")
    assert proposed(design(feeder(), bare()), "C1", cables=()).missing == ("cable on offer",)


def test_it_says_what_stands_in_the_way_when_nothing_fits() -> None:
    huge = bare(route=Route(length_m=200.0), loads=(lamp(current_a=60.0),))
    found = proposed(design(feeder(), huge), "C1", devices=BLADES)
    assert not found.is_complete
    assert {finding.rule_id for finding in found.decided_by} >= {"drop"}


def test_a_second_battery_means_devices_at_both_ends() -> None:
    other = feeder(id="F2", label="F2", from_id="second", cable=None, protection=None)
    net = design(
        feeder(), other, branch(), sources=(battery(), battery(id="second", label="Second"))
    )
    found = proposed(net, "F2", devices=STRIPS)
    assert found.device_at_end
    assert with_proposal(other, found).protection_at_end is not None


def test_a_design_is_proposed_from_its_sources_outwards() -> None:
    net = design(
        feeder(cable=None, protection=None), bare(), bare(id="C2", label="C2", loads=(lamp(),))
    )
    done, proposals = propose_design(
        net,
        circuit_ids=["C2", "C1", "F1"],
        cables=lambda _circuit: CABLES,
        devices=lambda _circuit: (*BLADES, *STRIPS),
    )
    assert [proposal.circuit_id for proposal in proposals] == ["F1", "C2", "C1"]
    assert all(proposal.is_complete for proposal in proposals)
    assert done.circuits[0].drop_limit_pct is None
    stops = [f.message for f in check_design(done).findings if f.severity is Severity.STOP]
    assert stops == []


def test_circuits_that_are_not_named_stay() -> None:
    net = design(feeder(), bare())
    done, _proposals = propose_design(
        net, circuit_ids=["C1"], cables=lambda _c: CABLES, devices=lambda _c: BLADES
    )
    assert done.circuits[0] == net.circuits[0]
    assert done.circuits[1].cable is not None


def test_a_proposal_for_another_circuit_is_refused() -> None:
    with pytest.raises(BadInput, match="is for circuit C2, not C1"):
        with_proposal(branch(), Proposal(circuit_id="C2", cable=None, device=None))


def test_where_nothing_holds_what_breaks_least_comes_nearest() -> None:
    """3200 A at the battery: no blade breaks it, the stronger one comes nearer."""
    near = branch(from_id="house", cable=None, protection=None)
    facts = gather(design(near))[0]["C1"]
    weak, stronger = (
        next(
            d
            for d in devices(DeviceType.BLADE, cost=cost, breaking_a=breaks_a)
            if d.key.endswith(" 10")
        )
        for cost, breaks_a in ((1.0, 1000.0), (2.0, 3000.0))
    )
    assert not propose_circuit(facts, cables=CABLES, devices=(weak, stronger)).is_complete
    found = propose_nearest(facts, cables=CABLES, devices=(weak, stronger))
    assert found.device == stronger
    assert found.cable is not None
    broken = broken_rules(
        with_choice(facts, cable=found.cable.cable, protection=stronger.protection, at_end=None)
    )
    assert [finding.rule_id for finding in broken] == ["breaking"]


def test_an_attention_comes_nearer_than_a_stop() -> None:
    """Too weak a device stops; one a little larger than its conductor may carry does not."""
    near = branch(from_id="house", cable=None, protection=None)
    facts = gather(design(near))[0]["C1"]
    cables = [cable for cable in CABLES if cable.key == "6"]
    may_carry_a = with_choice(facts, cable=cables[0].cable, protection=None, at_end=None).ampacity_a
    assert may_carry_a is not None
    larger = [d for d in STRIPS if may_carry_a < d.protection.rating_a <= 1.5 * may_carry_a]
    weak = [d for d in BLADES if d.protection.rating_a == 10.0]
    found = propose_nearest(facts, cables=cables, devices=(*weak, *larger))
    assert found.device in larger


def test_without_a_cable_on_offer_nothing_comes_near() -> None:
    facts = gather(design(feeder(), branch()))[0]["C1"]
    assert not propose_nearest(facts, cables=(), devices=BLADES).is_complete
