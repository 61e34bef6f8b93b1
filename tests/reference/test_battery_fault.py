"""Fault current of batteries: ABYC E-11 table, and worked examples by Ohm's law."""

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from electrical.core.conductors import least_loop_r_ohm
from electrical.core.fault_levels import point_fault
from electrical.core.faults import source_fault
from electrical.core.parts import Cable
from electrical.core.sizes import mm2
from electrical.core.sources import Chemistry, SourceKind
from electrical.core.status import SourceStatus
from electrical.core.tables.battery_fault import large_bank_breaking_a, required_breaking
from tests.unit.core.designs import battery, branch, design, feeder
from tests.unit.core.verdicts import check

CASES = tomllib.loads((Path(__file__).parent / "cases" / "battery_fault.toml").read_text())


@pytest.mark.parametrize("case", CASES["case"], ids=lambda c: str(c["cca_a"]))
def test_breaking_capacities_are_as_printed(case: dict[str, Any]) -> None:
    found = required_breaking(cca_a=case["cca_a"])
    assert (found.main_a, found.branch_a) == (case["main_a"], case["branch_a"])


@pytest.mark.parametrize("case", CASES["large"], ids=str)
def test_a_large_bank_asks_for_more(case: dict[str, Any]) -> None:
    found = large_bank_breaking_a(
        cca_a=case.get("cca_a"),
        capacity_ah=case.get("capacity_ah"),
        short_circuit_a=case["short_circuit_a"],
    )
    assert found == case.get("breaking_a")


def test_the_first_device_of_a_large_bank_is_held_to_it() -> None:
    """600 Ah that give 12 kA: 20 kA at the battery, the fault current further on."""
    bank = battery(capacity_ah=600.0, short_circuit_a=12_000.0)
    net = design(sources=(bank,))
    main, later = check(net, "breaking", "F1"), check(net, "breaking", "C1")
    assert main.limit == 20_000.0
    assert "20000 A is asked for beside so large a bank" in main.message
    assert later.limit is not None
    assert later.limit < 12_000.0


def test_a_battery_at_its_terminals_by_hand() -> None:
    """12.8 V / 4 mΩ = 3200 A."""
    found = source_fault(battery(emf_v=12.8, internal_r_ohm=0.004))
    assert found is not None
    assert found.terminal_a == pytest.approx(3200.0)


def test_the_makers_figure_comes_first() -> None:
    found = source_fault(battery(short_circuit_a=5000.0, cca_a=800.0))
    assert found is not None
    assert found.terminal_a == pytest.approx(5000.0)
    assert "maker's short-circuit current" in found.assumption


def test_starting_current_gives_a_resistance_by_the_rating_itself() -> None:
    """EN 50342-1 rates cold cranking at 7.5 V, SAE J537 at 7.2 V (from memory, to be checked).

    From 12.6 V at rest: 5.4 V / 650 A = 8.3 mΩ, so 1517 A at 12.6 V: the 1500 A the
    ABYC table asks of a main device for 650 A.
    """
    found = source_fault(battery(internal_r_ohm=None, cca_a=650.0, emf_v=12.6))
    assert found is not None
    assert found.terminal_a == pytest.approx(1517, abs=1)
    assert found.status is SourceStatus.MEMORY


def test_a_typical_resistance_scales_with_the_bank() -> None:
    """3 mΩ for 12 V 100 Ah AGM (from memory): 24 V 400 Ah is 2 in series, 4 in parallel."""
    bank = battery(internal_r_ohm=None, nominal_v=24.0, capacity_ah=400.0, chemistry=Chemistry.AGM)
    found = source_fault(bank)
    assert found is not None
    assert found.r_ohm == pytest.approx(0.0015)


def test_a_management_limit_is_no_fault_rating() -> None:
    bank = battery(management_limit_a=100.0)
    found = source_fault(bank)
    assert found is not None
    assert found.terminal_a == pytest.approx(3200.0)


def test_nothing_known_is_not_guessed() -> None:
    bank = battery(internal_r_ohm=None, chemistry=None)
    point = point_fault(design(sources=(bank,)), "B1")
    assert point.current_a is None
    assert point.missing == ("short-circuit current or internal resistance of House battery",)


def test_fault_currents_of_parallel_batteries_add() -> None:
    """Short-circuit currents add for parallel strings (ABYC E-11, second-hand)."""
    one = design()
    second = replace(battery(), id="start", label="Start battery")
    lead = replace(feeder(), id="F2", label="Second feeder", from_id="start")
    both = replace(one, sources=(*one.sources, second), circuits=(*one.circuits, lead))
    alone_a, together_a = point_fault(one, "B1").current_a, point_fault(both, "B1").current_a
    assert alone_a is not None
    assert together_a == pytest.approx(2 * alone_a)


def test_a_lead_limits_the_fault_by_hand() -> None:
    """2 · 1.5 m · 0.017241 / 35 mm² = 1.478 mΩ; 12.8 V / (4 + 1.478) mΩ = 2337 A."""
    way_ohm = least_loop_r_ohm(cable=Cable(size=mm2(35)), length_m=1.5)
    assert way_ohm == pytest.approx(0.0014778, abs=5e-7)
    assert point_fault(design(feeder(), branch()), "B1").current_a == pytest.approx(2337, abs=0.5)


def test_a_charger_adds_no_more_than_its_limit() -> None:
    charger = battery(
        id="ch", label="Charger", kind=SourceKind.CHARGER, max_output_a=40.0, limits_itself=True
    )
    found = source_fault(charger)
    assert found is not None
    assert found.terminal_a == 40.0
    assert found.assumption == "Charger: limits itself to 40 A"
    unlimited = source_fault(replace(charger, limits_itself=False))
    assert unlimited is not None
    assert unlimited.assumption == "Charger: taken at its rated output of 40 A"
