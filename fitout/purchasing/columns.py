"""The follow-up column of the build sheet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from django.utils import timezone

from fitout.jobs import figures
from fitout.jobs.models import Job
from fitout.jobs.sheet import SheetLine
from fitout.purchasing.dealing import is_bought
from fitout.purchasing.followup import Progress, progress_by_part

NOTHING = Progress()


def follow_lines(
    job: Job, lines: Sequence[SheetLine], whole: figures.WholeSheet
) -> dict[int, figures.FollowUp]:
    """Lines of one part share what came: the state of the part over all of its lines."""
    bought = [line for line in lines if is_bought(line)]
    progress = progress_by_part(job)
    is_followed = any(line.part_id in progress for line in bought)
    needed = _needed_by_part(whole() if is_followed else bought)
    today = timezone.localdate()
    return {
        line.id: _follow(progress.get(line.part_id, NOTHING), needed[line.part_id], today)
        for line in bought
        if line.part_id is not None
    }


def _needed_by_part(lines: Sequence[SheetLine]) -> dict[int, Decimal]:
    needed: dict[int, Decimal] = defaultdict(Decimal)
    for line in lines:
        if line.part_id is not None and is_bought(line):
            needed[line.part_id] += line.effective_quantity
    return needed


def _follow(progress: Progress, needed: Decimal, today: date) -> figures.FollowUp:
    words = f"due {progress.due_on:%-d %b}" if progress.to_come > 0 and progress.due_on else ""
    return figures.FollowUp(state=progress.state(needed), words=words, late=progress.is_late(today))
