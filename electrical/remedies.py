"""Carry out what a finding offers: another cable size, rating or kind of device."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from django.db import transaction

from electrical.circuits import edit
from electrical.core.findings import Finding
from electrical.models import Circuit
from electrical.shelf import CannotRemedy, Shelf, asks_for_cable, number
from fitout.kit.models import User


def carry_out(
    shelf: Shelf, circuits: Sequence[Circuit], change: Mapping[str, str], by: User
) -> str:
    """Do it for all or none and tell what was done; the choice then counts as made by hand."""
    change = read(change)
    with transaction.atomic():
        told = [_carry_out_one(shelf, circuit, change, by) for circuit in circuits]
    return " ".join(told)


def read(change: Mapping[str, str]) -> dict[str, str]:
    """What was sent, without what was left empty; refused where a figure is none."""
    told = {name: value.strip() for name, value in change.items() if value.strip()}
    if not told:
        raise CannotRemedy("No size, rating or kind of device was sent; nothing changed.")
    for name in ("size_mm2", "rating_a", "end_rating_a"):
        number(told.get(name))
    return told


def require_offered(
    findings: Iterable[Finding], circuits: Sequence[Circuit], change: Mapping[str, str]
) -> None:
    """Refuse what no finding offers as things stand: the page it came from was an old one."""
    offered = {
        (str(remedy.change.get("circuit")), frozenset(_without_circuit(remedy.change)))
        for finding in findings
        for remedy in finding.remedies
    }
    wanted = frozenset(change.items())
    stale = [circuit.label for circuit in circuits if (str(circuit.pk), wanted) not in offered]
    if stale:
        raise CannotRemedy(
            f"No finding offers this for {', '.join(stale)} any more; nothing changed. "
            "The findings here are as they stand now."
        )


def _without_circuit(change: Mapping[str, object]) -> Iterator[tuple[str, str]]:
    return ((name, str(value)) for name, value in change.items() if name != "circuit")


def _carry_out_one(shelf: Shelf, circuit: Circuit, change: Mapping[str, str], by: User) -> str:
    if asks_for_cable(change):
        cable = shelf.cable(circuit, change)
        edit(circuit, by=by, version=circuit.version, cable=cable, cable_set_by_hand=True)
        return f"{circuit.label} now has {cable.description}."
    device = shelf.device(circuit, change)
    changes: dict[str, Any] = {"protection_set_by_hand": True}
    if circuit.end_protection_id and "rating_a" not in change:
        changes["end_protection"] = device
    if "end_rating_a" not in change and (circuit.protection_id or not circuit.end_protection_id):
        changes["protection"] = device
    edit(circuit, by=by, version=circuit.version, **changes)
    where = " at its far end" if "end_rating_a" in change else ""
    return f"{circuit.label} now has {device.description}{where}."
