"""Carry out what a finding offers: another cable size, rating or kind of device."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal, InvalidOperation
from typing import Any

from django.db import transaction

from catalogue.models import Part, PartKind
from catalogue.models.electrical_data import ProtectionKind
from electrical.adapters.circuits import DEVICE_TYPES
from electrical.circuits import edit
from electrical.core.findings import Finding
from electrical.core.parts import DeviceType
from electrical.facts import Facts
from electrical.models import Circuit
from electrical.wiring.offer import Offer, cost_of, same_family
from fitout.kit.models import User
from fitout.kit.money import quantity_text

#: Of any size [mm²] or rating [A] that may be asked for.
LARGEST = 10_000
KIND_BY_TYPE = {device_type: kind for kind, device_type in DEVICE_TYPES.items()}


class CannotRemedy(Exception):
    """Why the offer cannot be carried out, as a sentence."""


def carry_out(
    facts: Facts,
    circuits: Sequence[Circuit],
    change: Mapping[str, str],
    by: User,
    *,
    may_carry_a: Mapping[int, float] | None = None,
) -> str:
    """Do it for all or none and tell what was done; the choice then counts as made by hand.
    Another kind of device is no larger than what the conductor may carry, where that is known."""
    change = read(change)
    with transaction.atomic():
        most_a = may_carry_a or {}
        told = [_carry_out_one(facts, c, change, by, most_a.get(c.pk)) for c in circuits]
    return " ".join(told)


def read(change: Mapping[str, str]) -> dict[str, str]:
    """What was sent, without what was left empty; refused where a figure is none."""
    told = {name: value.strip() for name, value in change.items() if value.strip()}
    if not told:
        raise CannotRemedy("No size, rating or kind of device was sent; nothing changed.")
    for name in ("size_mm2", "rating_a"):
        _number(told.get(name))
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


def _carry_out_one(
    facts: Facts, circuit: Circuit, change: Mapping[str, str], by: User, most_a: float | None
) -> str:
    if "size_mm2" in change or "size_awg" in change:
        cable = _cable(facts, circuit, change)
        edit(circuit, by=by, version=circuit.version, cable=cable, cable_set_by_hand=True)
        return f"{circuit.label} now has {cable.description}."
    device = _device(facts, circuit, change)
    rating_a = device.protectivedevicedata.rating_a
    if most_a is not None and "rating_a" not in change and rating_a > most_a:
        raise CannotRemedy(
            f"The smallest that would do for {circuit.label} is {device.description}, more than "
            f"the {most_a:.1f} A its conductor may carry; nothing changed. Add a smaller one to "
            f"the parts, or edit {circuit.label}."
        )
    changes: dict[str, Any] = {"protection_set_by_hand": True}
    if circuit.end_protection_id:
        changes["end_protection"] = device
    if circuit.protection_id or not circuit.end_protection_id:
        changes["protection"] = device
    edit(circuit, by=by, version=circuit.version, **changes)
    return f"{circuit.label} now has {device.description}."


def _cable(facts: Facts, circuit: Circuit, change: Mapping[str, str]) -> Part:
    wanted_mm2, wanted_awg = _number(change.get("size_mm2")), change.get("size_awg", "")
    offer = Offer(facts)
    of_size = [
        part
        for part in offer.cables
        if (wanted_mm2 is not None and part.cabledata.size_mm2 == wanted_mm2)
        or (wanted_awg and part.cabledata.size_awg == wanted_awg)
    ]
    present = circuit.cable
    alike = [part for part in of_size if present is None or same_family(part, present)]
    fitting = offer.positive_cables(circuit) if present is None else alike
    chosen = [part for part in alike if part in fitting]
    if not chosen:
        raise CannotRemedy(_no_such_cable(offer, circuit, wanted_mm2, wanted_awg))
    colour = present.cabledata.colour if present is not None else "red"
    same = [part for part in chosen if part.cabledata.colour == colour]
    red = [part for part in chosen if part.cabledata.colour == "red"]
    return min(same or red or chosen, key=cost_of)


def _no_such_cable(offer: Offer, circuit: Circuit, size_mm2: Decimal | None, awg: str) -> str:
    size = f"{quantity_text(size_mm2)} mm²" if size_mm2 is not None else f"{awg} AWG"
    words = f"The catalogue has no {size} cable of the kind in {circuit.label}"
    present = circuit.cable
    sizes = [
        part.cabledata.size_mm2
        for part in offer.cables
        if part.cabledata.size_mm2 and (present is None or same_family(part, present))
    ]
    if sizes:
        least, most = quantity_text(min(sizes)), quantity_text(max(sizes))
        words += f", whose sizes go from {least} to {most} mm²"
    return f"{words}. Add such a cable to the parts, or edit {circuit.label}."


def _device(facts: Facts, circuit: Circuit, change: Mapping[str, str]) -> Part:
    present = getattr(circuit.protection or circuit.end_protection, "protectivedevicedata", None)
    kind = present.device if present is not None else ""
    least_a = present.rating_a if present is not None else Decimal(0)
    rating_a = _number(change.get("rating_a"))
    if change.get("device"):
        kind = _kind_named(change["device"])
    found = [
        part
        for part in Offer(facts).devices
        if (not kind or part.protectivedevicedata.device == kind)
        and part.protectivedevicedata.rated_v >= circuit.nominal_v
        and (
            part.protectivedevicedata.rating_a == rating_a
            if rating_a is not None
            else part.protectivedevicedata.rating_a >= least_a
        )
    ]
    if not found:
        label = ProtectionKind(kind).label if kind else PartKind.PROTECTIVE_DEVICE.label
        words = f"{label[:1].lower()}{label[1:]}"
        rating = f"of {quantity_text(rating_a)}" if rating_a is not None else "of at least"
        least = "" if rating_a is not None else f" {quantity_text(least_a)}"
        raise CannotRemedy(
            f"The catalogue has no {words} {rating}{least} A and {quantity_text(circuit.nominal_v)} V"
            f" or more for {circuit.label}. Add one to the parts, or edit {circuit.label}."
        )
    return min(found, key=lambda part: (part.protectivedevicedata.rating_a, cost_of(part)))


def _kind_named(words: str) -> str:
    try:
        return KIND_BY_TYPE[DeviceType(words)]
    except ValueError as error:
        raise CannotRemedy("The catalogue knows no such kind of protective device.") from error
    except KeyError as error:
        raise CannotRemedy(f"No part can be entered as a {words}; nothing changed.") from error


def _number(text: str | None) -> Decimal | None:
    if not text:
        return None
    try:
        value = Decimal(text)
    except InvalidOperation as error:
        raise CannotRemedy("The size or rating is not a number.") from error
    if not value.is_finite():
        raise CannotRemedy("The size or rating is not a number.")
    if not 0 < value <= LARGEST:
        raise CannotRemedy(f"The size or rating has to be above 0, and {LARGEST} at most.")
    return value
