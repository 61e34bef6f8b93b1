"""Change circuits by hand. Every change is one entry that can be undone."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from electrical.models import Circuit, CircuitDevice, Device
from fitout.jobs.models import Job
from fitout.kit.audit import Change, tracked
from fitout.kit.models import StaleVersion, User

EDITABLE = frozenset(
    {
        "number",
        "name",
        "role",
        "origin",
        "board_position",
        "cable",
        "cable_set_by_hand",
        "in_parallel",
        "protection",
        "protection_set_by_hand",
        "end_protection",
        "protection_distance_m",
        "switch",
        "length_override_m",
        "drop_limit_pct",
        "always_live",
        "note",
    }
)
#: Numbers above every real one, where circuits wait while they change places.
PARKED = 20_000


def next_number(job: Job) -> int:
    numbers = Circuit.objects.filter(job=job).values_list("number", flat=True)
    return max(numbers, default=0) + 1


def edit(
    circuit: Circuit,
    *,
    by: User,
    version: int,
    devices: Sequence[Device] | None = None,
    **changes: Any,
) -> Circuit:
    """Change a circuit read at `version`; raises `StaleVersion` if it moved on.

    A cable or protection that differs from the stored one counts as chosen by a person.
    """
    unknown = set(changes) - EDITABLE
    if unknown:
        raise ValueError(f"not editable on a circuit: {', '.join(sorted(unknown))}")
    with tracked(
        actor=by,
        scope=circuit.job.scope,
        label=f"Circuit {circuit.label} {circuit.name}",
        action="wiring.change",
    ) as change:
        change.watch(circuit)
        stored = Circuit.objects.get(pk=circuit.pk)
        for name, value in changes.items():
            setattr(circuit, name, value)
        _note_hand(circuit, stored, changes)
        circuit.save_if_version(version, by=by)
        if devices is not None:
            set_devices(circuit, devices, change)
    return circuit


def _note_hand(circuit: Circuit, stored: Circuit, changes: dict[str, Any]) -> None:
    if circuit.cable_id != stored.cable_id and "cable_set_by_hand" not in changes:
        circuit.cable_set_by_hand = True
    is_other = (circuit.protection_id, circuit.end_protection_id) != (
        stored.protection_id,
        stored.end_protection_id,
    )
    if is_other and "protection_set_by_hand" not in changes:
        circuit.protection_set_by_hand = True
    if is_other or circuit.cable_id != stored.cable_id:
        circuit.chosen_together = False


@dataclass(frozen=True, kw_only=True)
class Chosen:
    """Cable and protection for a circuit read at `version`."""

    circuit_id: int
    version: int
    cable_id: int | None
    protection_id: int | None
    end_protection_id: int | None


def use_together(job: Job, chosen: Sequence[Chosen], *, by: User) -> int:
    """Fit a joint choice as one entry, all or nothing; tells how many circuits it changed.

    Raises `StaleVersion` if one of the circuits moved on since it was read.
    """
    circuits = Circuit.objects.filter(job=job).in_bulk([one.circuit_id for one in chosen])
    label, count = "Cables and fuses chosen together", 0
    with tracked(actor=by, scope=job.scope, label=label, action="wiring.change") as change:
        for one in chosen:
            circuit = circuits.get(one.circuit_id)
            if circuit is None or circuit.version != one.version:
                raise StaleVersion(circuit)
            wanted = (one.cable_id, one.protection_id, one.end_protection_id)
            count += wanted != (circuit.cable_id, circuit.protection_id, circuit.end_protection_id)
            change.watch(circuit)
            circuit.cable_id, circuit.protection_id, circuit.end_protection_id = wanted
            circuit.chosen_together = True
            circuit.save_if_version(one.version, by=by)
    return count


def set_devices(circuit: Circuit, devices: Sequence[Device], change: Change) -> None:
    """Put exactly these devices on the circuit, in this order."""
    wanted = {device.pk: position for position, device in enumerate(devices, start=1)}
    for member in CircuitDevice.objects.filter(circuit=circuit):
        position = wanted.pop(member.device_id, None)
        if position is None:
            change.removing(member)
            member.delete()
        elif member.position != position:
            change.watch(member)
            member.position = position
            member.save()
    for device_id, position in wanted.items():
        made = CircuitDevice.objects.create(circuit=circuit, device_id=device_id, position=position)
        change.created(made)


def add(job: Job, *, by: User, devices: Sequence[Device] = (), **values: Any) -> Circuit:
    label = f"New circuit {values.get('name', '')}"
    with tracked(actor=by, scope=job.scope, label=label, action="wiring.change") as change:
        number = values.pop("number", None) or next_number(job)
        circuit = Circuit.objects.create(job=job, number=number, changed_by=by, **values)
        change.created(circuit)
        set_devices(circuit, devices, change)
    return circuit


def remove(circuit: Circuit, *, by: User) -> None:
    label = f"Removed {circuit.label} {circuit.name}"
    with tracked(actor=by, scope=circuit.job.scope, label=label, action="wiring.change") as change:
        change.removing(circuit)
        circuit.delete()


def renumber(job: Job, *, by: User) -> int:
    """Number circuits 1, 2, 3 in their present order.

    Not undoable: numbers are unique, and undo puts rows back one at a time.
    """
    circuits = list(Circuit.objects.filter(job=job).order_by("number"))
    moved = [(c, n) for n, c in enumerate(circuits, start=1) if c.number != n]
    label = "Circuits renumbered"
    with tracked(
        actor=by, scope=job.scope, label=label, action="wiring.change", undoable=False
    ) as change:
        change.watch(*(circuit for circuit, _ in moved))
        for circuit, number in moved:
            Circuit.objects.filter(pk=circuit.pk).update(number=PARKED + number)
        for circuit, number in moved:
            circuit.number = number
            circuit.save_if_version(circuit.version, by=by)
    return len(moved)
