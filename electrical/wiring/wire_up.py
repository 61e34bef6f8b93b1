"""Wire up: make the proposed circuits and choose cable and protection for all of them."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from catalogue.models import BoardData
from electrical.devices import refresh_devices
from electrical.facts import Facts, load_facts, record_of
from electrical.models import Circuit, CircuitDevice, Device
from electrical.wiring.choosing import choose
from electrical.wiring.planning import planned
from electrical.wiring.proposal import Gap, Proposal
from fitout.jobs.models import Job
from fitout.kit.audit import Change, tracked
from fitout.kit.models import User


@dataclass(frozen=True)
class WiredUp:
    made: int
    changed: int
    removed: int
    gaps: tuple[Gap, ...]
    unsolved: tuple[str, ...]
    """Labels of circuits for which the catalogue holds nothing that fits."""


def wire_up(job: Job, by: User) -> WiredUp:
    """One undoable change; what a person set by hand stays as it is."""
    refresh_devices(job, by)
    with tracked(actor=by, scope=job.scope, label="Wire up", action="wiring.change") as change:
        removed = _remove_empty(load_facts(job), change)
        facts = load_facts(job)
        proposals = planned(facts)
        _make(job, facts, proposals.circuits, change, by)
        changed, unsolved = choose(load_facts(job), change, by)
    return WiredUp(
        made=len(proposals.circuits),
        changed=changed,
        removed=removed,
        gaps=tuple(proposals.gaps),
        unsolved=unsolved,
    )


def _remove_empty(facts: Facts, change: Change) -> int:
    """Circuits whose devices have gone with their lines."""
    empty = [
        circuit
        for circuit in facts.circuits
        if not facts.ends_of(circuit)
        and not (circuit.cable_set_by_hand or circuit.protection_set_by_hand)
    ]
    for circuit in empty:
        change.removing(circuit)
        circuit.delete()
    return len(empty)


def _make(job: Job, facts: Facts, proposals: Iterable[Proposal], change: Change, by: User) -> None:
    number = max((circuit.number for circuit in facts.circuits), default=0)
    ways = {device.pk: _free_ways(facts, device) for device in facts.devices}
    for proposal in proposals:
        number += 1
        free = ways[proposal.origin.pk]
        circuit = Circuit.objects.create(
            job=job,
            number=number,
            name=proposal.name,
            role=proposal.role,
            origin=proposal.origin,
            board_position=free.pop(0) if free else None,
            nominal_v=Decimal(str(proposal.nominal_v)).quantize(Decimal("0.1")),
            always_live=proposal.always_live,
            changed_by=by,
        )
        change.created(circuit)
        for position, device in enumerate(proposal.devices, start=1):
            member = CircuitDevice(circuit=circuit, device=device, position=position)
            member.save()
            change.created(member)


def _free_ways(facts: Facts, device: Device) -> list[int]:
    record = record_of(device)
    if not isinstance(record, BoardData):
        return []
    taken = {circuit.board_position for circuit in facts.starting_at.get(device.pk, ())}
    return [way for way in range(1, record.ways + 1) if way not in taken]
