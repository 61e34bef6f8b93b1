"""Lay out the backbone by hand, or have it proposed anew. Each is one entry, undoable."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from decimal import Decimal

from electrical.models import DataBackbone, DataTee
from fitout.jobs.models import Job
from fitout.kit.audit import Change, tracked
from fitout.kit.models import StaleVersion, User


@dataclass(frozen=True, kw_only=True)
class TeeValues:
    """As entered for one device; a length of None follows the hull plan."""

    device_id: int
    position: int
    is_joined: bool
    length_m: Decimal | None
    drop_m: Decimal | None


def lay_out(
    job: Job,
    *,
    by: User,
    version: int | None,
    values: Mapping[str, object],
    tees: Sequence[TeeValues],
) -> DataBackbone:
    """`version` as read, None where nothing was stored; raises `StaleVersion` if that moved on."""
    with tracked(
        actor=by, scope=job.scope, label="Data backbone", action="wiring.change"
    ) as change:
        backbone = DataBackbone.objects.filter(job=job).first()
        if (backbone.version if backbone else None) != version:
            raise StaleVersion(backbone)
        if backbone is None:
            backbone = DataBackbone.objects.create(job=job, changed_by=by, **values)
            change.created(backbone)
        else:
            change.watch(backbone)
            for name, value in values.items():
                setattr(backbone, name, value)
            backbone.save_if_version(backbone.version, by=by)
        _store(job, tees, change, by)
    return backbone


def _store(job: Job, tees: Sequence[TeeValues], change: Change, by: User) -> None:
    stored = {tee.device_id: tee for tee in DataTee.objects.filter(device__job=job)}
    for wanted in tees:
        values = asdict(wanted)
        row = stored.get(wanted.device_id)
        if row is None:
            change.created(DataTee.objects.create(changed_by=by, **values))
            continue
        if any(getattr(row, name) != value for name, value in values.items()):
            change.watch(row)
            for name, value in values.items():
                setattr(row, name, value)
            row.save_if_version(row.version, by=by)


def propose_anew(job: Job, *, by: User) -> bool:
    """Order and lengths from the hull plan again; tells whether there was anything to forget."""
    label = "Data backbone proposed anew"
    with tracked(actor=by, scope=job.scope, label=label, action="wiring.change") as change:
        tees = list(DataTee.objects.filter(device__job=job))
        change.removing(*tees)
        DataTee.objects.filter(pk__in=[tee.pk for tee in tees]).delete()
    return bool(tees)
