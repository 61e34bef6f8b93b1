from __future__ import annotations

from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from catalogue.models import PriceList, Supplier
from catalogue.price_lists.reading import MAX_BYTES, MEGABYTE, Table, read_table
from fitout.kit.forms import DateInput, Form


class PriceListForm(Form):
    file = forms.FileField(
        label="Price list",
        help_text="CSV or XLSX with the headings “supplier code” and “cost”, and if wanted "
        "“our code”, “pack quantity”, “minimum order”, “lead days”.",
    )
    price_date = forms.DateField(label="Prices of", widget=DateInput())

    def clean_file(self) -> Table:
        file = self.cleaned_data["file"]
        if file.size > MAX_BYTES:
            raise ValidationError(f"{MAX_BYTES // MEGABYTE} MB at most.")
        return read_table(file.name, file.read(MAX_BYTES + 1))

    def save(self, supplier: Supplier, *, by: Any, at: datetime) -> PriceList:
        table: Table = self.cleaned_data["file"]
        uploaded: Any = self.files["file"]
        return PriceList.objects.create(
            supplier=supplier,
            filename=uploaded.name[:200],
            price_date=self.cleaned_data["price_date"],
            columns=table.columns,
            ignored=table.ignored,
            rows=table.rows,
            uploaded_at=at,
            uploaded_by=by,
        )
