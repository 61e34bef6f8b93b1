"""What must be true before a job is handed over."""

from fitout.handover.models import PackStatus
from fitout.jobs.models import Job, Stage


def guard_stage(job: Job, stage: str) -> str:
    if stage != Stage.HANDED_OVER:
        return ""
    last = job.packs.first()
    if last is None or last.status != PackStatus.READY:
        return "Stage: make the handover pack first."
    if last.open_points:
        return (
            f"Stage: {last.number} is a draft with {last.open_points} open points; settle them and "
            "make the pack again."
        )
    return ""
