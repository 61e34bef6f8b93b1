"""Test sheets: measured values against expected, per circuit and per system."""

from django.conf import settings
from django.db import models

from electrical.models import Circuit
from fitout.jobs.models import Job
from fitout.kit.models import Versioned
from fitout.kit.money import quantity_text


class SheetKind(models.TextChoices):
    CIRCUITS = "circuits", "Circuits"
    SYSTEM = "system", "System"
    TRIAL = "trial", "Sea trial or road test"


class Outcome(models.TextChoices):
    OPEN = "open", "Not tested"
    PASS = "pass", "Pass"
    FAIL = "fail", "Fail"
    NOT_APPLICABLE = "na", "Not applicable"


class TestSheet(Versioned):
    __test__ = False

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="test_sheets")
    kind = models.CharField(max_length=10, choices=SheetKind.choices)
    title = models.CharField(max_length=120)
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position", "id"]
        constraints = [
            models.UniqueConstraint(fields=["job", "title"], name="test_sheet_title_once")
        ]

    def __str__(self) -> str:
        return self.title


class TestReading(Versioned):
    """One row. `expected_low`/`expected_high` bound the reading; both empty = judged by eye."""

    __test__ = False

    sheet = models.ForeignKey(TestSheet, on_delete=models.CASCADE, related_name="readings")
    circuit = models.ForeignKey(
        Circuit, null=True, blank=True, on_delete=models.CASCADE, related_name="readings"
    )
    position = models.PositiveSmallIntegerField(default=0)
    check_name = models.CharField(max_length=12, blank=True, editable=False)
    what = models.CharField(max_length=160)
    unit = models.CharField(max_length=10, blank=True)
    expected_low = models.DecimalField(max_digits=12, decimal_places=4, null=True, blank=True)
    expected_high = models.DecimalField(max_digits=12, decimal_places=4, null=True, blank=True)
    expected_from = models.CharField(
        "where the expected value comes from", max_length=160, blank=True
    )
    measured = models.DecimalField(max_digits=12, decimal_places=4, null=True, blank=True)
    outcome = models.CharField(max_length=5, choices=Outcome.choices, default=Outcome.OPEN)
    remark = models.CharField(max_length=200, blank=True)
    tested_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    tested_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["position", "id"]

    def __str__(self) -> str:
        return self.what

    @property
    def is_measured(self) -> bool:
        """Whether a figure decides; otherwise the tester says."""
        return self.expected_low is not None or self.expected_high is not None

    @property
    def expected_words(self) -> str:
        low, high = self.expected_low, self.expected_high
        if low is not None and high is not None and low > 0:
            return f"{quantity_text(low)} to {quantity_text(high)} {self.unit}"
        if high is not None:
            return f"at most {quantity_text(high)} {self.unit}"
        if low is not None:
            return f"at least {quantity_text(low)} {self.unit}"
        return "by eye"
