"""What must be true before a job is handed over."""

from fitout.handover.models import PackStatus
from fitout.jobs.models import Job, Stage
from fitout.kit.text import counted


def guard_stage(job: Job, stage: str) -> str:
    if stage != Stage.HANDED_OVER:
        return ""
    last = job.packs.first()
    if last is None or last.status != PackStatus.READY:
        return "Stage: make the handover pack first."
    if last.open_points:
        return (
            f"Stage: {last.number} is a draft with {counted(last.open_points, 'open point')}; settle them and "
            "make the pack again."
        )
    return ""
