"""What a list may be narrowed by. Nonsense in an address narrows nothing."""

from __future__ import annotations

from typing import Any

from django import forms

from catalogue.models import Category, PartKind, Phase, Supplier, Trade
from catalogue.models.parts import PartQuerySet
from fitout.kit.forms import Form


class PartFilter(Form):
    q = forms.CharField(label="Find in parts", required=False, max_length=100)
    category = forms.ChoiceField(
        label="System", required=False, choices=[("", "All systems"), *Category.choices]
    )
    kind = forms.ChoiceField(
        label="Kind", required=False, choices=[("", "All kinds"), *PartKind.choices]
    )
    supplier = forms.ModelChoiceField(
        Supplier.objects.selling(), required=False, empty_label="All suppliers"
    )
    inactive = forms.BooleanField(label="With parts no longer used", required=False)

    def narrowed(self, parts: PartQuerySet) -> PartQuerySet:
        self.is_valid()
        wanted: dict[str, Any] = self.cleaned_data
        if not wanted.get("inactive"):
            parts = parts.active()
        if wanted.get("category"):
            parts = parts.filter(category=wanted["category"])
        if wanted.get("kind"):
            parts = parts.filter(kind=wanted["kind"])
        if wanted.get("supplier"):
            parts = parts.from_supplier(wanted["supplier"])
        return parts.matching(wanted.get("q") or "")


class KitFilter(Form):
    q = forms.CharField(label="Find in kits", required=False, max_length=100)
    category = forms.ChoiceField(
        label="System", required=False, choices=[("", "All systems"), *Category.choices]
    )
    inactive = forms.BooleanField(label="With kits no longer used", required=False)

    def narrowed(self, kits: Any) -> Any:
        self.is_valid()
        wanted = self.cleaned_data
        if not wanted.get("inactive"):
            kits = kits.active()
        if wanted.get("category"):
            kits = kits.filter(category=wanted["category"])
        return kits.matching(wanted.get("q") or "")


class SupplierFilter(Form):
    q = forms.CharField(label="Find in suppliers", required=False, max_length=100)
    inactive = forms.BooleanField(label="With suppliers no longer used", required=False)

    def narrowed(self, suppliers: Any) -> Any:
        self.is_valid()
        wanted = self.cleaned_data
        if not wanted.get("inactive"):
            suppliers = suppliers.active()
        return suppliers.matching(wanted.get("q") or "")


class LabourFilter(Form):
    q = forms.CharField(label="Find in labour operations", required=False, max_length=100)
    trade = forms.ModelChoiceField(Trade.objects.all(), required=False, empty_label="All trades")
    phase = forms.ChoiceField(
        label="Phase", required=False, choices=[("", "All phases"), *Phase.choices]
    )

    def narrowed(self, operations: Any) -> Any:
        self.is_valid()
        wanted = self.cleaned_data
        if wanted.get("trade"):
            operations = operations.filter(trade=wanted["trade"])
        if wanted.get("phase"):
            operations = operations.filter(phase=wanted["phase"])
        return operations.matching(wanted.get("q") or "")
