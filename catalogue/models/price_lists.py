"""A supplier's price list as uploaded: its cells as text, kept until it is applied or dropped."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

from catalogue.models.suppliers import Supplier


class PriceListState(models.TextChoices):
    CHECKED = "checked", "To be looked at"
    APPLIED = "applied", "Applied"
    DROPPED = "dropped", "Dropped"


class PriceList(models.Model):
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="price_lists")
    filename = models.CharField(max_length=200)
    price_date = models.DateField("prices of")
    heads = models.JSONField(default=list)
    """The headings of the file, each different."""
    lines = models.JSONField(default=list)
    """The texts below them, row by row."""
    columns = models.JSONField(default=dict)
    """Our name of a column to the heading it has in the file."""
    state = models.CharField(max_length=8, choices=PriceListState, default=PriceListState.CHECKED)
    uploaded_at = models.DateTimeField()
    uploaded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    settled_at = models.DateTimeField(null=True)
    result = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(state="checked") | Q(settled_at__isnull=False),
                name="price_list_settled_has_time",
            )
        ]

    def __str__(self) -> str:
        return f"{self.filename} of {self.supplier}"

    def get_absolute_url(self) -> str:
        return reverse("catalogue:price_list_check", args=[self.supplier_id, self.pk])

    @property
    def ignored(self) -> list[str]:
        """Headings that say nothing to us."""
        return [head for head in self.heads if head not in self.columns.values()]

    @property
    def is_open(self) -> bool:
        return self.state == PriceListState.CHECKED
