from __future__ import annotations

from typing import Any

from catalogue.models import Supplier
from fitout.kit import audit
from fitout.kit.forms import ModelForm


class SupplierForm(ModelForm):
    class Meta:
        model = Supplier
        fields = (
            "name",
            "code",
            "is_subcontractor",
            "trade",
            "contact",
            "email",
            "phone",
            "lead_days",
            "carriage",
            "carriage_free_over",
            "active",
            "address",
            "notes",
        )
        labels = {"active": "In use"}
        help_texts = {
            "code": "Small letters, digits and hyphens.",
            "trade": "Of a subcontractor.",
        }

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("is_subcontractor") and not cleaned.get("trade"):
            self.add_error("trade", "choose the trade of this subcontractor.")
        return cleaned

    def save_by(self, user: Any) -> Supplier:
        adding = self.instance.pk is None
        label = f"{'Added' if adding else 'Changed'} {self.instance.name}"
        with audit.tracked(
            actor=user, scope="suppliers", label=label, action="supplier", undoable=not adding
        ) as change:
            if not adding:
                change.watch(self.instance)
            supplier: Supplier = super().save_by(user)
            if adding:
                change.created(supplier)
        return supplier
