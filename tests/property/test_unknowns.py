"""What is not known never passes: forgetting a fact turns no failure into a pass."""

from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass, replace
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from electrical.core.check import check_design
from electrical.core.design import Circuit, CircuitRole, Design
from electrical.core.findings import Finding, Severity
from electrical.core.parts import Load, Protection, Switch
from electrical.core.sources import Board, Converter, Source
from tests.property.random_designs import designs

#: Facts by what they are told of; without one nothing else takes its place.
FACTS: dict[type, tuple[str, ...]] = {
    Load: ("current_a", "ignition_protected"),
    Protection: ("rated_v", "distance_m", "ignition_protected"),
    Switch: ("continuous_a", "cranking_a", "poles", "ignition_protected"),
    Board: ("busbar_a",),
    Source: ("capacity_ah", "fastened", "strings_fused", "place", "chemistry"),
    Circuit: ("cable", "route"),
    Converter: ("efficiency", "max_output_a", "input_cutoff_v", "isolated", "ignition_protected"),
}
#: An unplaced run may lie beside any other; a neighbour counts once it is placed.
BY_NEIGHBOURS = {"ampacity", "rating", "protected", "both-ends", "clears"}
FAILED = {Severity.STOP, Severity.ATTENTION}
Path = tuple[str | int, ...]


def known(thing: Any, path: Path = ()) -> Iterator[tuple[Path, str]]:
    """Every fact that is told, by where it stands."""
    for name in FACTS.get(type(thing), ()):
        if getattr(thing, name) is not None:
            yield path, name
    if isinstance(thing, tuple):
        for index, part in enumerate(thing):
            yield from known(part, (*path, index))
    elif is_dataclass(thing):
        for field in fields(thing):
            yield from known(getattr(thing, field.name), (*path, field.name))


def changed(thing: Any, path: Path, change: Callable[[Any], Any]) -> Any:
    if not path:
        return change(thing)
    first, rest = path[0], path[1:]
    if isinstance(first, int):
        return (*thing[:first], changed(thing[first], rest, change), *thing[first + 1 :])
    return replace(thing, **{first: changed(getattr(thing, first), rest, change)})


def forgotten(net: Design, path: Path, name: str) -> Design:
    gone: dict[str, Any] = {name: None}
    if name == "current_a":
        gone["current_a_by_state"] = None
    found: Design = changed(net, path, lambda thing: replace(thing, **gone))
    return found


def untold(net: Design) -> Design:
    """Without largest currents told by hand, which stand for what is not known behind them."""
    circuits = (
        c if c.role is CircuitRole.CHARGING else replace(c, max_current_a=None)
        for c in net.circuits
    )
    return replace(net, circuits=tuple(circuits))


def outcome(net: Design) -> dict[tuple[str, ...], list[Finding]]:
    found: dict[tuple[str, ...], list[Finding]] = {}
    for check in check_design(net).checks:
        key = check.rule_id, check.subject.kind, check.subject.id, check.basis
        found.setdefault((*key, str(check.at_far_end)), []).append(check)
    return found


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(net=designs().map(untold), data=st.data())
def test_forgetting_a_fact_lets_nothing_pass(net: Design, data: st.DataObject) -> None:
    facts = list(known(net))
    if not facts:
        return
    path, name = data.draw(st.sampled_from(facts))
    before, after = outcome(net), outcome(forgotten(net, path, name))
    own_id = net.circuits[int(path[1])].id if path[0] == "circuits" else ""
    for key, findings in before.items():
        if name in {"cable", "route"} and key[0] in BY_NEIGHBOURS and key[2] != own_id:
            continue
        if any(f.severity in FAILED for f in findings) and after.get(key):
            passed = all(f.severity is Severity.PASS for f in after[key])
            assert not passed, (path, name, findings, after[key])
