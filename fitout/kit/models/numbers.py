from django.db import models


class Counter(models.Model):
    """The last number given out in a series; one row per series."""

    series = models.CharField(max_length=40, primary_key=True)
    last = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.series}: {self.last}"
