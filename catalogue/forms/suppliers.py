from __future__ import annotations

from typing import Any

from catalogue.models import Supplier
from fitout.kit.forms import TrackedForm
from fitout.kit.money import symbol_of


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

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("carriage", "carriage_free_over"):
            self.fields[name].unit = symbol_of()  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("is_subcontractor") and not cleaned.get("trade"):
            self.add_error("trade", "choose the trade of this subcontractor.")
        return cleaned
