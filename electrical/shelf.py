"""Parts of the catalogue by which a finding's way out can be carried out."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from functools import cached_property

from catalogue.models import Part, PartKind, ProtectiveDeviceData
from catalogue.models.electrical_data import ProtectionKind
from electrical.adapters.circuits import DEVICE_TYPES
from electrical.check import Checked
from electrical.core.parts import DeviceType
from electrical.facts import Facts
from electrical.models import Circuit
from electrical.wiring.offer import Offer, cost_of, same_family
from fitout.kit.money import quantity_text

#: Of any size [mm²] or rating [A] that may be asked for.
LARGEST = 10_000
KIND_BY_TYPE = {device_type: kind for kind, device_type in DEVICE_TYPES.items()}
#: What a way out may ask for.
CABLE_FIELDS = ("size_mm2", "size_awg")
DEVICE_FIELDS = ("rating_a", "end_rating_a", "device")


class CannotRemedy(Exception):
    """Why the offer cannot be carried out, as a sentence."""


@dataclass(frozen=True)
class Shelf:
    facts: Facts
    may_carry_a: Mapping[int, float] = field(default_factory=dict)
    """By circuit, what its conductor may carry, where that is known [A]."""

    @cached_property
    def offer(self) -> Offer:
        return Offer(self.facts)

    def has(self, circuit: Circuit, change: Mapping[str, str]) -> bool:
        """Whether the part that a change asks for can be had; any other change needs none."""
        try:
            if asks_for_cable(change):
                self.cable(circuit, change)
            elif any(name in change for name in DEVICE_FIELDS):
                self.device(circuit, change)
        except CannotRemedy:
            return False
        return True

    def cable(self, circuit: Circuit, change: Mapping[str, str]) -> Part:
        """The one of the size asked for, alike but for that, or `CannotRemedy`."""
        wanted_mm2, wanted_awg = number(change.get("size_mm2")), change.get("size_awg", "")
        of_size = [
            part
            for part in self.offer.cables
            if (wanted_mm2 is not None and part.cabledata.size_mm2 == wanted_mm2)
            or (wanted_awg and part.cabledata.size_awg == wanted_awg)
        ]
        present = circuit.cable
        alike = [part for part in of_size if present is None or same_family(part, present)]
        fitting = self.offer.positive_cables(circuit) if present is None else alike
        chosen = [part for part in alike if part in fitting]
        if not chosen:
            raise CannotRemedy(self._no_such_cable(circuit, wanted_mm2, wanted_awg))
        colour = present.cabledata.colour if present is not None else "red"
        same = [part for part in chosen if part.cabledata.colour == colour]
        red = [part for part in chosen if part.cabledata.colour == "red"]
        return min(same or red or chosen, key=cost_of)

    def _no_such_cable(self, circuit: Circuit, size_mm2: Decimal | None, awg: str) -> str:
        size = f"{quantity_text(size_mm2)} mm²" if size_mm2 is not None else f"{awg} AWG"
        words = f"The catalogue has no {size} cable of the kind in {circuit.label}"
        present = circuit.cable
        sizes = [
            part.cabledata.size_mm2
            for part in self.offer.cables
            if part.cabledata.size_mm2 and (present is None or same_family(part, present))
        ]
        if sizes:
            least, most = quantity_text(min(sizes)), quantity_text(max(sizes))
            words += f", whose sizes go from {least} to {most} mm²"
        return f"{words}. Add such a cable to the parts, or edit {circuit.label}."

    def device(self, circuit: Circuit, change: Mapping[str, str]) -> Part:
        """The one of the rating or kind asked for, or `CannotRemedy`.

        Another kind of device is the smallest there is from the present rating up, and no
        larger than what the conductor may carry.
        """
        present = _present(circuit, at_end="end_rating_a" in change)
        kind = present.device if present is not None else ""
        least_a = present.rating_a if present is not None else Decimal(0)
        rating_a = number(change.get("rating_a") or change.get("end_rating_a"))
        if change.get("device"):
            kind = _kind_named(change["device"])
        found = [
            part
            for part in self.offer.devices
            if (not kind or part.protectivedevicedata.device == kind)
            and part.protectivedevicedata.rated_v >= circuit.nominal_v
            and (
                part.protectivedevicedata.rating_a == rating_a
                if rating_a is not None
                else part.protectivedevicedata.rating_a >= least_a
            )
        ]
        if not found:
            raise CannotRemedy(_no_such_device(circuit, kind, rating_a, least_a))
        device = min(found, key=lambda part: (part.protectivedevicedata.rating_a, cost_of(part)))
        most_a = self.may_carry_a.get(circuit.pk)
        if rating_a is None and most_a is not None:
            self._require_carried(circuit, device, most_a)
        return device

    @staticmethod
    def _require_carried(circuit: Circuit, device: Part, most_a: float) -> None:
        if device.protectivedevicedata.rating_a > most_a:
            raise CannotRemedy(
                f"The smallest that would do for {circuit.label} is {device.description}, more "
                f"than the {most_a:.1f} A its conductor may carry; nothing changed. Add a "
                f"smaller one to the parts, or edit {circuit.label}."
            )


def shelf_of(checked: Checked) -> Shelf:
    found = {circuit.pk: checked.result_of(circuit) for circuit in checked.facts.circuits}
    return Shelf(
        checked.facts,
        may_carry_a={
            pk: result.ampacity.deciding.corrected_a
            for pk, result in found.items()
            if result is not None and result.ampacity is not None
        },
    )


def asks_for_cable(change: Mapping[str, str]) -> bool:
    return any(name in change for name in CABLE_FIELDS)


def number(text: str | None) -> Decimal | None:
    """A size or rating as it was sent, or `CannotRemedy`."""
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


def _present(circuit: Circuit, *, at_end: bool) -> ProtectiveDeviceData | None:
    near, far = circuit.protection, circuit.end_protection
    return getattr((far or near) if at_end else (near or far), "protectivedevicedata", None)


def _no_such_device(circuit: Circuit, kind: str, rating_a: Decimal | None, least_a: Decimal) -> str:
    label = ProtectionKind(kind).label if kind else PartKind.PROTECTIVE_DEVICE.label
    words = f"{label[:1].lower()}{label[1:]}"
    asked = (
        f"of {quantity_text(rating_a)}"
        if rating_a is not None
        else f"of at least {quantity_text(least_a)}"
    )
    return (
        f"The catalogue has no {words} {asked} A and {quantity_text(circuit.nominal_v)} V"
        f" or more for {circuit.label}. Add one to the parts, or edit {circuit.label}."
    )


def _kind_named(words: str) -> str:
    try:
        return KIND_BY_TYPE[DeviceType(words)]
    except ValueError as error:
        raise CannotRemedy("The catalogue knows no such kind of protective device.") from error
    except KeyError as error:
        raise CannotRemedy(f"No part can be entered as a {words}; nothing changed.") from error
