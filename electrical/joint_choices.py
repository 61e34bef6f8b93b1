"""Ask for a joint choice of cables and fuses, work it out, use it."""

from __future__ import annotations

import logging
from datetime import datetime

from django.db import transaction

from electrical.circuits import Chosen, use_together
from electrical.devices import refresh_devices
from electrical.facts import load_facts
from electrical.models import JointChoice, JointStatus
from electrical.models.together import LOST_AFTER
from electrical.wiring.together import CannotChoose, choose_together
from fitout.jobs.models import Job
from fitout.kit.models import User

log = logging.getLogger("fitout.electrical")
TROUBLE = "It could not be worked out. The log of the worker says why."


@transaction.atomic
def ask_for(job: Job, *, by: User, at: datetime) -> JointChoice:
    """One at a time; the one asked for before is thrown away once it is done."""
    job = Job.objects.select_for_update().get(pk=job.pk)
    waiting = job.joint_choices.filter(status=JointStatus.QUEUED, asked_at__gt=at - LOST_AFTER)
    present = waiting.first()
    if present is not None:
        return present
    job.joint_choices.all().delete()
    refresh_devices(job, by)
    return JointChoice.objects.create(job=job, asked_at=at, asked_by=by)


def make(choice: JointChoice, *, now: datetime) -> JointChoice:
    """Work it out and keep it. Trouble is kept in words, and in the log."""
    if choice.status == JointStatus.READY:
        return choice
    try:
        choice.found = choose_together(load_facts(choice.job)).stored()
        choice.status, choice.trouble = JointStatus.READY, ""
    except CannotChoose as reason:
        choice.status, choice.trouble = JointStatus.FAILED, str(reason)[:400]
    except Exception:
        log.exception("joint choice of %s could not be worked out", choice.job.code)
        choice.status, choice.trouble = JointStatus.FAILED, TROUBLE
    choice.made_at = now
    choice.save()
    return choice


def use(choice: JointChoice, *, by: User) -> int:
    """Fit what was found; raises `StaleVersion` if a circuit was changed since."""
    chosen = [
        Chosen(
            circuit_id=row["circuit_id"],
            version=row["version"],
            **{name: row["together"][name] for name in PARTS},
        )
        for row in choice.found["rows"]
        if not row["kept"] and not row["unmet"] and not row["missing"]
    ]
    return use_together(choice.job, chosen, by=by)


PARTS = ("cable_id", "protection_id", "end_protection_id")
