from __future__ import annotations

from typing import Any

from catalogue.models import Supplier
from fitout.kit.forms import TrackedForm


class SupplierForm(TrackedForm):
    scope, action = "suppliers", "supplier"
    can_undo_new = False

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
