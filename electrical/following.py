"""Devices follow the build sheet in the transaction that changes it, so that no page has to."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.db.models import QuerySet

from catalogue.models import Part
from electrical.devices import refresh_devices
from electrical.facts import DEVICE_KINDS
from fitout.jobs.models import Job
from fitout.jobs.models.jobs import OPEN_STAGES
from fitout.kit.audit import Actor, person_of

LINE, ZONE = "jobs.line", "jobs.zone"
MODELS = (LINE, ZONE)
#: Kinds of line that hold no part and no kit, so no device.
WITHOUT_DEVICES = frozenset({"labour", "subcontract", "provisional"})
#: Columns of a line that a device is made from.
OF_INTEREST = (
    "kind",
    "parent_id",
    "part_id",
    "zone_id",
    "description",
    "quantity",
    "choice",
    "taken",
    "x_m",
    "y_m",
    "z_m",
)


def follow(scope: str, changes: Sequence[Mapping[str, Any]], actor: Actor) -> None:
    """A zone belongs to a vessel, which may have several jobs."""
    kind, _, number = scope.partition(":")
    if kind != "job" or not number.isdecimal():
        return
    jobs: Iterable[Job] = Job.objects.filter(number=number)
    if any(change["model"] == ZONE for change in changes):
        jobs = _with_the_same_vessel(number)
    elif not concern_devices([change for change in changes if matters(change)]):
        return
    for job in jobs:
        refresh_devices(job, person_of(actor))


def _with_the_same_vessel(number: str) -> QuerySet[Job]:
    vessels = Job.objects.filter(number=number).values("vessel_id")
    return Job.objects.filter(vessel_id__in=vessels, stage__in=OPEN_STAGES)


def concern_devices(changes: Sequence[Mapping[str, Any]]) -> bool:
    """Whether a kit is among the lines, or a part that becomes a device."""
    rows = [row for change in changes for row in (change["before"], change["after"]) if row]
    if any(row["part_id"] is None for row in rows):
        return True
    parts = {row["part_id"] for row in rows}
    return Part.objects.filter(pk__in=parts, kind__in=DEVICE_KINDS).exists()


def matters(change: Mapping[str, Any]) -> bool:
    """Whether a device could be made, moved or removed by a change to a line."""
    before, after = change["before"], change["after"]
    kinds = {row["kind"] for row in (before, after) if row is not None}
    if kinds <= WITHOUT_DEVICES:
        return False
    if before is None or after is None:
        return True
    return any(before[name] != after[name] for name in OF_INTEREST)
