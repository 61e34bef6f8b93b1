"""What was picked for which task; the movement itself is the stock's."""

from django.db import models

from fitout.purchasing.models import Movement
from fitout.workshop.models.tasks import Task


class PickedForTask(models.Model):
    """A movement that is put right no longer counts."""

    task = models.ForeignKey(Task, on_delete=models.CASCADE, related_name="picked")
    movement = models.OneToOneField(
        Movement, on_delete=models.PROTECT, related_name="picked_for_task"
    )

    def __str__(self) -> str:
        return f"{self.movement} for {self.task}"
