"""Where a device gets its power from, followed back along the circuits."""

from catalogue.models import ConverterData, PartKind
from electrical.adapters.numbers import fraction
from electrical.facts import Facts, record_of
from electrical.models import CircuitRole, Device

#: Leads that bring charge in are not what a device lives on.
NOT_SUPPLY = frozenset({CircuitRole.CHARGING})

#: Less than this through converters in a row is a slip of the pen: not known.
LEAST_EFFICIENCY = 0.01


def upstream_of(facts: Facts, device: Device) -> list[Device]:
    """Every point between a device and its batteries, nearest first, each once."""
    found: list[Device] = []
    waiting = [device]
    seen = {device.pk}
    while waiting:
        here = waiting.pop(0)
        for origin in _feeding(facts, here):
            if origin.pk not in seen:
                seen.add(origin.pk)
                found.append(origin)
                if origin.kind != PartKind.BATTERY:
                    waiting.append(origin)
    return found


def _feeding(facts: Facts, device: Device) -> list[Device]:
    return [
        facts.origin_of(circuit)
        for circuit in facts.fed_by.get(device.pk, ())
        if circuit.role not in NOT_SUPPLY
    ]


def batteries_of(facts: Facts, device: Device) -> list[Device]:
    return [point for point in upstream_of(facts, device) if point.kind == PartKind.BATTERY]


def conversion_efficiency(facts: Facts, device: Device) -> float | None:
    """Of the converters between a device and its batteries; None when one is not known."""
    efficiency = 1.0
    for point in upstream_of(facts, device):
        record = record_of(point)
        if isinstance(record, ConverterData):
            own = fraction(record.efficiency_pct)
            if own is None:
                return None
            efficiency *= own
    return efficiency if efficiency >= LEAST_EFFICIENCY else None
