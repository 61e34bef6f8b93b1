"""How the data backbone of a job is laid out, where a person said more than the hull plan tells."""

from django.core.validators import MaxValueValidator
from django.db import models

from catalogue.models import Part
from electrical.models.devices import Device
from fitout.jobs.models import Job
from fitout.jobs.models.hull import metres
from fitout.kit.models import Versioned


class DataBackbone(Versioned):
    """None stands for what follows from the build sheet, or for not known."""

    job = models.OneToOneField(Job, on_delete=models.CASCADE, related_name="data_backbone")
    cable = models.ForeignKey(
        Part,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
        limit_choices_to={"kind": "data_cable"},
    )
    terminator_first = models.BooleanField("terminator at the first tee", null=True, blank=True)
    terminator_last = models.BooleanField("terminator at the last tee", null=True, blank=True)
    shield_grounds = models.PositiveSmallIntegerField(
        "points where the shield is grounded",
        null=True,
        blank=True,
        validators=[MaxValueValidator(9)],
    )

    def __str__(self) -> str:
        return f"Data backbone of {self.job}"


class DataTee(Versioned):
    """One device on the backbone, in order from its first end; lengths only where measured."""

    device = models.OneToOneField(Device, on_delete=models.CASCADE, related_name="data_tee")
    position = models.PositiveSmallIntegerField()
    is_joined = models.BooleanField("on the backbone", default=True)
    length_m = metres("cable from the tee before m", low="0", high="100", null=True)
    drop_m = metres("drop m", low="0", high="50", null=True)

    #: Says more about a device and goes with it.
    follows_other_rows = True

    class Meta:
        ordering = ["position", "id"]

    def __str__(self) -> str:
        return f"Tee of {self.device}"
