"""Mark-up by category and the terms a quote starts from."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from catalogue.models import Category
from fitout.jobs.models import Job
from fitout.kit.models import Versioned

PERCENT_LIMITS = [MinValueValidator(Decimal("0")), MaxValueValidator(Decimal("500"))]


class MarkUpQuerySet(models.QuerySet["MarkUp"]):
    def by_category(self) -> dict[str, Decimal]:
        return dict(self.values_list("category", "mark_up_pct"))


class MarkUp(Versioned):
    """Percentage added to cost, by category of part; the blank category is everything else."""

    category = models.CharField(max_length=20, choices=Category.choices, blank=True, unique=True)
    mark_up_pct = models.DecimalField(
        "mark-up %", max_digits=5, decimal_places=2, validators=PERCENT_LIMITS
    )

    objects = MarkUpQuerySet.as_manager()

    class Meta:
        ordering = ["category"]
        constraints = [
            models.CheckConstraint(condition=Q(mark_up_pct__gte=0), name="mark_up_not_negative")
        ]

    def __str__(self) -> str:
        return f"{self.get_category_display() or 'Everything else'}: {self.mark_up_pct} %"


class TermsFields(Versioned):
    validity_days = models.PositiveSmallIntegerField(
        "valid for days", default=30, validators=[MinValueValidator(1), MaxValueValidator(365)]
    )
    inclusions = models.TextField("included", blank=True, max_length=4000)
    exclusions = models.TextField("not included", blank=True, max_length=4000)
    terms = models.TextField("terms", blank=True, max_length=8000)
    payment_plan = models.TextField(
        "payment stages, one a line: percent, name",
        default="30, On acceptance\n40, First fix complete\n20, Start of trials\n10, Handover",
        max_length=1000,
    )

    class Meta:
        abstract = True


WORDING = ("validity_days", "inclusions", "exclusions", "terms", "payment_plan")


class StandardTerms(TermsFields):
    """The workshop's own wording; one row."""

    @classmethod
    def current(cls) -> "StandardTerms":
        return cls.objects.order_by("pk").first() or cls()

    def __str__(self) -> str:
        return "Standard terms"


class JobTerms(TermsFields):
    job = models.OneToOneField(Job, on_delete=models.CASCADE, related_name="terms")
    discount_pct = models.DecimalField(
        "discount %",
        max_digits=4,
        decimal_places=2,
        default=Decimal("0.00"),
        validators=[MinValueValidator(Decimal("0")), MaxValueValidator(Decimal("50"))],
    )
    discount_reason = models.CharField(max_length=120, blank=True)
    subcontract_mark_up_pct = models.DecimalField(
        "mark-up on subcontract %",
        max_digits=5,
        decimal_places=2,
        default=Decimal("12.00"),
        validators=PERCENT_LIMITS,
    )

    @classmethod
    def of(cls, job: Job) -> "JobTerms":
        """The job's own terms, or the workshop's standard ones, not stored until edited."""
        own = cls.objects.filter(job=job).first()
        if own is not None:
            return own
        standard = StandardTerms.current()
        return cls(job=job, **{name: getattr(standard, name) for name in WORDING})

    def __str__(self) -> str:
        return f"Terms of {self.job}"
