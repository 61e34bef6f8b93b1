"""What choosing all cables and fuses of a job together came to."""

from django.db import models

from electrical.models.worked_out import WorkedOut
from fitout.jobs.models import Job


class JointChoice(WorkedOut):
    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="joint_choices")
