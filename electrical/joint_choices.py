"""Ask for a joint choice of cables and fuses, work it out, use it."""

from __future__ import annotations

from datetime import datetime

from electrical import worked_out
from electrical.circuits import Chosen, use_together
from electrical.devices import refresh_devices
from electrical.facts import load_facts
from electrical.models import JointChoice
from electrical.wiring.together import choose_together
from fitout.jobs.models import Job
from fitout.kit.models import User

PARTS = ("cable_id", "protection_id", "end_protection_id")


def ask_for(job: Job, *, by: User, at: datetime) -> JointChoice:
    refresh_devices(job, by)
    return worked_out.ask_for(JointChoice, job, by=by, at=at)


def make(choice: JointChoice, *, now: datetime) -> JointChoice:
    def work() -> dict[str, object]:
        return choose_together(load_facts(choice.job)).stored()

    return worked_out.make(choice, work, now=now)


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
