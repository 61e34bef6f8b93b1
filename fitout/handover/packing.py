"""The handover pack: everything the owner and the next electrician need, as one PDF."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone

from electrical import cautions
from electrical import documents as electrical_documents
from electrical.check import Checked, check
from electrical.core.findings import Finding, Severity
from electrical.energy_sheet import energy_sheet
from fitout.handover.access import PACKING
from fitout.handover.maintenance import maintenance_of
from fitout.handover.models import Outcome, Pack, PackStatus
from fitout.handover.results import results_of
from fitout.handover.test_sheets import progress
from fitout.jobs.hullplan.drawing import deck_plan, profile
from fitout.jobs.hullplan.plan import read_plan
from fitout.jobs.models import Job, VesselKind
from fitout.kit import documents
from fitout.kit.audit import record
from fitout.kit.models import Audience, User
from fitout.kit.pdf import render_pdf
from fitout.kit.text import counted

log = logging.getLogger("fitout.handover")
SHEETS = ("print/doc.css", "print/wiring.css")


class CannotPack(Exception):
    """The reason, as a sentence."""


def open_points(job: Job, checked: Checked) -> list[str]:
    """What still speaks against handing over; a pack made meanwhile is marked as a draft."""
    points = [_named(f) for f in checked.findings if f.severity is Severity.STOP]
    counts = progress(job)
    if counts[Outcome.OPEN]:
        points.append(f"{counted(counts[Outcome.OPEN], 'test')} not done yet.")
    if counts[Outcome.FAIL]:
        points.append(f"{counted(counts[Outcome.FAIL], 'test')} failed.")
    if not sum(counts.values()):
        points.append("There are no test sheets yet.")
    points += serials_missing(job)
    open_snags = job.snags.open().count()
    if open_snags:
        points.append(f"{counted(open_snags, 'snag')} open.")
    return points


def _named(finding: Finding) -> str:
    label = finding.subject.label
    return finding.message if label in finding.message else f"{label}: {finding.message}"


def serials_missing(job: Job) -> list[str]:
    """Each registered piece nobody wrote the serial number of."""
    items = list(job.register.all())
    if not items and job.lines.filter(part__serial_tracked=True).exists():
        return ["There is no register of equipment yet."]
    return [
        f"Serial number of {item.description}, {item.zone_name}: to be entered."
        for item in items
        if not item.serial
    ]


@transaction.atomic
def ask_for(job: Job, *, by: User, at: datetime) -> Pack:
    """Number a pack; the worker makes it. One at a time."""
    job = Job.objects.select_for_update().get(pk=job.pk)
    if job.stage not in PACKING:
        raise CannotPack(
            f"{job.code} is {job.get_stage_display().lower()}; a pack is made from in build on."
        )
    last = job.packs.first()
    if last is not None and last.status == PackStatus.QUEUED:
        raise CannotPack(f"{last.number} is being made.")
    return Pack.objects.create(
        job=job, sequence=0 if last is None else last.sequence + 1, asked_at=at, asked_by=by
    )


def make(pack: Pack, *, now: datetime) -> Pack:
    """Draw and store the pack. Trouble is kept on the pack, in words, and in the log."""
    if pack.status == PackStatus.READY:
        return pack
    try:
        with transaction.atomic():
            _make(pack, now=now)
    except Exception:
        log.exception("pack %s could not be made", pack.number)
        pack.status, pack.document = PackStatus.FAILED, None
        pack.trouble = "The pack could not be drawn. The log of the worker says why."
        pack.save(update_fields=["status", "trouble", "document"])
    return pack


def _make(pack: Pack, *, now: datetime) -> None:
    checked = check(pack.job)
    points = open_points(pack.job, checked)
    context = pack_context(pack, checked, points, now=now)
    pack.document = documents.store(
        kind="handover_pack",
        number=pack.number,
        title=f"Handover pack {pack.number}, {pack.job.vessel}",
        scope=pack.job.scope,
        filename=f"{pack.number}.pdf",
        content=render_pdf("handover/print/pack.html", context, sheets=SHEETS),
        at=now,
        by=pack.asked_by,
        audience=Audience.EVERYONE,
    )
    pack.status, pack.made_at, pack.trouble = PackStatus.READY, now, ""
    pack.open_points = len(points)
    pack.save()
    label = f"Handover pack {pack.number} made"
    record(pack.asked_by, "pack", pack, scope=pack.job.scope, label=label)


def pack_context(
    pack: Pack, checked: Checked, points: list[str], *, now: datetime
) -> dict[str, Any]:
    job, today = pack.job, timezone.localdate(now)
    plan = read_plan(job.vessel)
    circuits = electrical_documents.circuit_list(checked)
    sheets = electrical_documents.schematic_sheets(
        checked,
        today=today,
        revision=pack.letter,
        created_by=str(pack.asked_by),
        status="Draft" if points else "As fitted",
    )
    return {
        "pack": pack,
        "job": job,
        "today": today,
        "points": points,
        "profile": profile(plan, for_print=True),
        "deck_plan": deck_plan(plan, for_print=True),
        "zones": list(job.vessel.zones.all()),
        "paper": circuits,
        "energy": energy_sheet(checked),
        "sheets": sheets,
        "labels": electrical_documents.wire_labels(checked),
        "register": list(job.register.all()),
        "results": results_of(job),
        "maintenance": maintenance_of(job, today),
        "cautions": cautions.ALL,
        "is_boat": job.vessel.kind == VesselKind.BOAT,
        "sources": sources_of(checked),
        "findings": circuits.findings,
    }


@dataclass(frozen=True)
class LimitSource:
    """A standard whose limits were used, with how sure we are of them."""

    source: str
    status: str
    parts: str
    checks: str


def sources_of(checked: Checked) -> list[LimitSource]:
    found: dict[tuple[str, str], list[Finding]] = {}
    for finding in checked.result.checks if checked.result else ():
        key = finding.clause.source, finding.clause.status.value
        found.setdefault(key, []).append(finding)
    return [
        LimitSource(
            source=source,
            status=status,
            parts="; ".join(sorted({f.clause.clause for f in findings} - {""})),
            checks="; ".join(sorted({f.title for f in findings})),
        )
        for (source, status), findings in sorted(found.items())
    ]
