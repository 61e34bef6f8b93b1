"""The network solve against worked textbook examples of d.c. distribution."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from electrical.core.network import Branch, Load, Network, Solved, Source, solve

CASES = tomllib.loads((Path(__file__).parent / "cases" / "distributors.toml").read_text())


def solved(case: dict[str, Any]) -> Solved:
    branches = [
        Branch(
            branch_id=f"{one}-{other}{pole}",
            from_node=f"{one}{pole}",
            to_node=f"{other}{pole}",
            resistance_ohm=ohm,
        )
        for one, other, ohm in case["sections"]
        for pole in ("+", "−")
    ]
    supply = Source(
        source_id="A",
        positive="A+",
        negative="A−",
        emf_v=case["supply_v"],
        resistance_ohm=1e-6,
    )
    loads = [
        Load(load_id=point, positive=f"{point}+", negative=f"{point}−", current_a=amps)
        for point, amps in case["loads_a"].items()
    ]
    answer = solve(Network(branches=tuple(branches), sources=(supply,), loads=tuple(loads)))
    assert isinstance(answer, Solved)
    return answer


@pytest.mark.parametrize("case", CASES["case"], ids=lambda case: case["source"])
def test_voltage_at_every_load_is_the_printed_one(case: dict[str, Any]) -> None:
    answer = solved(case)
    for point, volts in case["printed_v"].items():
        found_v = answer.across_v(f"{point}+", f"{point}−")
        assert found_v == pytest.approx(volts, abs=case["half_digit_v"])


@pytest.mark.parametrize("case", CASES["case"], ids=lambda case: case["source"])
def test_current_in_every_section_is_the_printed_one(case: dict[str, Any]) -> None:
    answer = solved(case)
    for section, amps in case["printed_a"].items():
        assert answer.branch_a[f"{section}+"] == pytest.approx(amps, abs=case["half_digit_a"])
        assert answer.branch_a[f"{section}−"] == pytest.approx(-amps, abs=case["half_digit_a"])


def test_every_load_is_carried_in_full() -> None:
    for case in CASES["case"]:
        assert solved(case).load_a == pytest.approx(case["loads_a"])
