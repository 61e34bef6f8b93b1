"""Polarity, poles and bonding: ISO 10133, ABYC E-9 and an IMO text, each second-hand."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from electrical.core.earthing import BondingConductor, Earthing, EarthingKind
from electrical.core.findings import RuleSet
from electrical.core.parts import Cable, Switch
from electrical.core.sizes import awg
from tests.unit.core.designs import battery, branch, design, feeder
from tests.unit.core.verdicts import check, checks

FILE = tomllib.loads((Path(__file__).parent / "cases" / "earthing.toml").read_text())


def rows(part: str, key: str) -> list[Any]:
    return [(source, *row) for source in FILE[part] for row in source[key]]


@pytest.mark.parametrize(("source", "kind", "verdict"), rows("system", "kinds"), ids=str)
def test_the_pole_that_may_be_earthed(source: dict[str, Any], kind: str, verdict: str) -> None:
    found = check(design(earthing=Earthing(kind=EarthingKind(kind), joints=1)), "earthing")
    assert found.severity.value == verdict
    assert str(found.clause) == "ISO 10133:2012, 4.1"
    assert found.clause.status.value == source["status"]


@pytest.mark.parametrize(("source", "supply", "size", "verdict"), rows("bonding", "cases"), ids=str)
def test_bonding_is_one_size_under_the_supply(
    source: dict[str, Any], supply: str, size: str, verdict: str
) -> None:
    bond = BondingConductor(
        id="T", label="Tank", size=awg(size), circuit_id="C1" if supply else None
    )
    run = branch(cable=Cable(size=awg(supply or "10")))
    net = design(
        feeder(),
        run,
        rule_set=RuleSet.US,
        earthing=Earthing(kind=EarthingKind.NEGATIVE, joints=1, bonding=(bond,)),
    )
    found = check(net, "bonding", "T")
    assert found.severity.value == verdict
    assert found.clause.status.value == source["status"]


@pytest.mark.parametrize(("source", "kind", "poles", "verdict"), rows("poles", "cases"), ids=str)
def test_an_insulated_system_is_switched_at_both_poles(
    source: dict[str, Any], kind: str, poles: int, verdict: str
) -> None:
    isolator = Switch(label="Isolator", continuous_a=300.0, poles=poles)
    net = design(
        sources=(battery(isolator=isolator),),
        earthing=Earthing(kind=EarthingKind(kind), joints=0),
    )
    found = checks(net, "double-pole")
    assert [f.severity.value for f in found] == ([] if verdict == "nothing" else [verdict])
    assert all(f.clause.status.value == source["status"] for f in found)
