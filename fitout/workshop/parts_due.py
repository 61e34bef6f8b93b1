"""When the parts of a build-sheet line can be in hand: ordered ones by their date, the rest
by the supplier's lead time from today."""

from __future__ import annotations

from datetime import date, timedelta

from fitout.jobs.models import Job
from fitout.jobs.sheet import sheet_lines
from fitout.purchasing.dealing import is_bought
from fitout.purchasing.needs import Need, needs_of


def parts_due(job: Job, today: date) -> dict[int, date]:
    """Line id to the first day its part may be expected; a line is absent when it is here."""
    due = {need.part.pk: day for need in needs_of(job) if (day := due_day(need, today))}
    return {
        line.id: due[line.part_id]
        for line in sheet_lines(job)
        if is_bought(line) and line.part_id in due
    }


def due_day(need: Need, today: date) -> date | None:
    if need.short > 0:
        lead = need.offer.lead_days if need.offer else 0
        return today + timedelta(days=lead)
    if need.progress.to_come > 0 and need.progress.due_on is not None:
        return max(need.progress.due_on, today)
    return None
