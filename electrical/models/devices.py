"""Devices: one per piece of a build-sheet line whose part carries electrical data."""

from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import Q

from catalogue.models import PartKind
from fitout.jobs.models import Job, Line, Zone
from fitout.jobs.models.hull import metres
from fitout.kit.models import Versioned


class Device(Versioned):
    """Follows its line: made, moved and removed with it. Labels and links are set here.

    A board, busbar, battery, charger, converter or isolator is a device too.
    """

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="devices")
    line = models.ForeignKey(Line, on_delete=models.CASCADE, related_name="devices")
    ordinal = models.PositiveSmallIntegerField("which of the line's pieces", default=1)
    kind = models.CharField(max_length=20, choices=PartKind.choices)
    label = models.CharField(max_length=12)
    name = models.CharField(max_length=200)
    zone = models.ForeignKey(Zone, on_delete=models.PROTECT, related_name="devices")
    x_m = metres("x", null=True)
    y_m = metres("y", null=True)
    z_m = metres("z", null=True)
    is_negative = models.BooleanField("negative busbar", default=False)
    held_down = models.BooleanField("battery held down", null=True, blank=True)
    always_live = models.BooleanField("board fed ahead of the isolator", default=False)

    tilt_deg = models.PositiveSmallIntegerField(
        "panel's slope °", null=True, blank=True, validators=[MaxValueValidator(90)]
    )
    facing_deg = models.PositiveSmallIntegerField(
        "direction the panel faces °", null=True, blank=True, validators=[MaxValueValidator(359)]
    )
    in_series_with = models.ForeignKey(
        "self",
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="strung",
        verbose_name="panel whose lead its string shares",
    )
    link_is_limited = models.BooleanField(
        "current limiter of an emergency parallel switch", null=True, blank=True
    )

    #: Power feed of the data backbone: what hangs on it [A], told when the facts are read.
    fed_current_a: float | None = None

    #: Made anew from the lines, so undoing a line may take it along.
    follows_other_rows = True

    class Meta:
        ordering = ["label", "id"]
        constraints = [
            models.UniqueConstraint(fields=["line", "ordinal"], name="device_once_per_piece"),
            models.UniqueConstraint(fields=["job", "label"], name="device_label_once_per_job"),
            models.CheckConstraint(
                condition=Q(tilt_deg__isnull=True) | Q(tilt_deg__lte=90),
                name="device_tilt_up_to_upright",
            ),
            models.CheckConstraint(
                condition=Q(facing_deg__isnull=True) | Q(facing_deg__lte=359),
                name="device_faces_a_bearing",
            ),
            models.CheckConstraint(
                condition=Q(in_series_with__isnull=True) | ~Q(in_series_with=models.F("id")),
                name="device_not_in_series_with_itself",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.label} {self.name}"

    @property
    def short_name(self) -> str:
        """What it is, without size and data: up to the first comma of its description."""
        return self.name.split(",")[0].strip() or self.name
