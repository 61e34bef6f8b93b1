"""Small designs to check, made by keyword."""

from dataclasses import replace
from typing import Any

from electrical.core.design import Circuit, CircuitRole, Design, DropClass, Route
from electrical.core.findings import RuleSet
from electrical.core.parts import Cable, DeviceType, Load, Protection, Switch
from electrical.core.sizes import mm2
from electrical.core.sources import Board, Chemistry, Source, SourceKind


def battery(**changes: Any) -> Source:
    base = Source(
        id="house",
        label="House battery",
        kind=SourceKind.BATTERY,
        nominal_v=12.0,
        emf_v=12.8,
        internal_r_ohm=0.004,
        capacity_ah=200.0,
        chemistry=Chemistry.AGM,
        sealed=True,
        fastened=True,
        isolator=Switch(label="Isolator", continuous_a=300.0),
    )
    return replace(base, **changes)


def board(**changes: Any) -> Board:
    return replace(Board(id="B1", label="Board 1", nominal_v=12.0, busbar_a=150.0), **changes)


def feeder(**changes: Any) -> Circuit:
    base = Circuit(
        id="F1",
        label="Feeder",
        from_id="house",
        to_id="B1",
        role=CircuitRole.FEEDER,
        nominal_v=12.0,
        cable=Cable(size=mm2(35)),
        route=Route(length_m=1.5),
        protection=Protection(
            rating_a=125.0,
            device=DeviceType.STRIP_M8,
            breaking_capacity_a=6000.0,
            rated_v=32.0,
            distance_m=0.15,
        ),
    )
    return replace(base, **changes)


def lamp(**changes: Any) -> Load:
    base = Load(id="D1", label="Lamp", current_a=5.0, continuous=True)
    return replace(base, **changes)


def branch(**changes: Any) -> Circuit:
    base = Circuit(
        id="C1",
        label="C1",
        from_id="B1",
        nominal_v=12.0,
        cable=Cable(size=mm2(2.5)),
        route=Route(length_m=6.0),
        protection=Protection(
            rating_a=10.0, device=DeviceType.BLADE, breaking_capacity_a=3000.0, rated_v=32.0
        ),
        drop_class=DropClass.GENERAL,
        loads=(lamp(),),
    )
    return replace(base, **changes)


def design(*circuits: Circuit, **changes: Any) -> Design:
    parts: dict[str, Any] = {
        "rule_set": RuleSet.ISO,
        "sources": (battery(),),
        "boards": (board(),),
        "circuits": circuits or (feeder(), branch()),
    }
    return Design(**parts | changes)
