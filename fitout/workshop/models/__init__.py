from fitout.workshop.models.picking import PickedForTask
from fitout.workshop.models.snags import Snag, SnagStatus
from fitout.workshop.models.tasks import (
    OPEN_STATUSES,
    TASK_MOVES,
    BookedTime,
    MadeCircuit,
    Skill,
    Task,
    TaskStatus,
    WorkOrder,
)

__all__ = [
    "OPEN_STATUSES",
    "TASK_MOVES",
    "BookedTime",
    "MadeCircuit",
    "PickedForTask",
    "Skill",
    "Snag",
    "SnagStatus",
    "Task",
    "TaskStatus",
    "WorkOrder",
]
