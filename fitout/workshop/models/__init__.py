from fitout.workshop.models.snags import Snag, SnagStatus
from fitout.workshop.models.tasks import BookedTime, Skill, Task, TaskStatus, WorkOrder

__all__ = ["BookedTime", "Skill", "Snag", "SnagStatus", "Task", "TaskStatus", "WorkOrder"]
