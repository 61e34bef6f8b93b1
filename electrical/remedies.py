"""Carry out what a finding offers: another cable size, rating or kind of device."""

from collections.abc import Mapping, Sequence
from decimal import Decimal, InvalidOperation
from typing import Any

from django.db import transaction

from catalogue.models import Part, PartKind
from catalogue.models.electrical_data import ProtectionKind
from electrical.adapters.circuits import DEVICE_TYPES
from electrical.circuits import edit
from electrical.core.parts import DeviceType
from electrical.facts import Facts
from electrical.models import Circuit
from electrical.wiring.offer import Offer, cost_of, same_family
from fitout.kit.models import User

KIND_BY_TYPE = {device_type: kind for kind, device_type in DEVICE_TYPES.items()}


class CannotRemedy(Exception):
    """Why the offer cannot be carried out, as a sentence."""


def carry_out(
    facts: Facts, circuits: Sequence[Circuit], change: Mapping[str, str], by: User
) -> str:
    """Do it for all or none and tell what was done; the choice then counts as made by hand."""
    with transaction.atomic():
        told = [_carry_out_one(facts, circuit, change, by) for circuit in circuits]
    return " ".join(told)


def _carry_out_one(facts: Facts, circuit: Circuit, change: Mapping[str, str], by: User) -> str:
    if "size_mm2" in change or "size_awg" in change:
        cable = _cable(facts, circuit, change)
        edit(circuit, by=by, version=circuit.version, cable=cable, cable_set_by_hand=True)
        return f"{circuit.label} now has {cable.description}."
    device = _device(facts, circuit, change)
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
        size = f"{wanted_mm2:g} mm²" if wanted_mm2 is not None else f"{wanted_awg} AWG"
        raise CannotRemedy(f"The catalogue has no {size} cable of the kind in {circuit.label}.")
    colour = present.cabledata.colour if present is not None else "red"
    same = [part for part in chosen if part.cabledata.colour == colour]
    red = [part for part in chosen if part.cabledata.colour == "red"]
    return min(same or red or chosen, key=cost_of)


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
        words = ProtectionKind(kind).label.lower() if kind else PartKind.PROTECTIVE_DEVICE.label
        size = f" of {rating_a:g} A" if rating_a is not None else ""
        raise CannotRemedy(f"The catalogue has no {words}{size} for {circuit.label}.")
    return min(found, key=lambda part: (part.protectivedevicedata.rating_a, cost_of(part)))


def _kind_named(words: str) -> str:
    try:
        return KIND_BY_TYPE[DeviceType(words)]
    except (KeyError, ValueError) as error:
        raise CannotRemedy("The catalogue knows no such kind of protective device.") from error


def _number(text: str | None) -> Decimal | None:
    if not text:
        return None
    try:
        value = Decimal(text)
    except InvalidOperation as error:
        raise CannotRemedy("The size or rating is not a number.") from error
    if not value.is_finite():
        raise CannotRemedy("The size or rating is not a number.")
    return value
