from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import Q

from catalogue.models import Supplier, SupplierPart
from fitout.kit import audit
from fitout.kit.forms import DateInput, Form, TrackedForm
from fitout.kit.money import symbol_of
from fitout.kit.uploads import clean_pdf


class OfferForm(TrackedForm):
    scope, action = "parts", "offer"
    can_undo_new = False

    class Meta:
        model = SupplierPart
        fields = (
            "supplier",
            "supplier_code",
            "cost",
            "price_date",
            "pack_quantity",
            "minimum_order",
            "lead_days",
            "preferred",
            "active",
        )
        widgets = {"price_date": DateInput()}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        suppliers: Any = self.fields["supplier"]
        usable = Q(active=True, is_subcontractor=False)
        if self.instance.supplier_id:
            usable |= Q(pk=self.instance.supplier_id)
        suppliers.queryset = Supplier.objects.filter(usable)
        unit = self.instance.part.get_unit_display()
        self.fields["cost"].unit = f"{symbol_of()} per {unit}"  # type: ignore[attr-defined]
        for name in ("pack_quantity", "minimum_order"):
            self.fields[name].unit = unit  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("preferred") and not cleaned.get("active"):
            self.add_error("preferred", "only an offer still made can come first.")
        if cleaned.get("supplier") and self._already_there(cleaned["supplier"]):
            self.add_error("supplier", "there is an offer of this supplier already; change that.")
        return cleaned

    def _already_there(self, supplier: Supplier) -> bool:
        others = SupplierPart.objects.filter(part=self.instance.part, supplier=supplier)
        return others.exclude(pk=self.instance.pk).exists()

    def entry_label(self, *, adding: bool) -> str:
        return f"{'Added' if adding else 'Changed'} offer for {self.instance.part.code}"

    def save_watched(self, user: Any, change: audit.Change) -> None:
        """Making one offer the first choice takes that from the other one."""
        offer = self.instance
        others = offer.part.offers.filter(preferred=True).exclude(pk=offer.pk)
        change.watch(*([offer] if offer.pk else []), *others)
        if self.cleaned_data["preferred"]:
            for other in others:
                other.preferred = False
                other.save_if_version(other.version, by=user, update_fields=["preferred"])
        super().save_watched(user, change)


class PartDocumentForm(Form):
    title = forms.CharField(max_length=120)
    file = forms.FileField(label="PDF", required=False)
    link = forms.URLField(label="Or a link", required=False, max_length=500, assume_scheme="https")

    def clean_file(self) -> bytes | None:
        file = self.cleaned_data["file"]
        return clean_pdf(file, name="PDF") if file else None

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        given = bool(cleaned.get("file")), bool(cleaned.get("link"))
        if not any(given) and not self.errors:
            self.add_error("file", "choose a file, or give a link instead.")
        if all(given):
            self.add_error("link", "give a file or a link, not both.")
        return cleaned
