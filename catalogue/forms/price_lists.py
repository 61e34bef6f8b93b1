from __future__ import annotations

from datetime import datetime
from itertools import islice
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.text import capfirst

from catalogue.models import PriceList, Supplier
from catalogue.price_lists.columns import LABELS, NEEDED, recognised
from catalogue.price_lists.reading import MAX_BYTES, MEGABYTE, Table, read_table
from fitout.kit.forms import DateInput, Form

EXAMPLES, EXAMPLE_LENGTH = 3, 24


class PriceListForm(Form):
    file = forms.FileField(
        label="Price list",
        help_text="CSV or XLSX, headings in the first row. It must hold the supplier’s code and "
        "the cost; headings that are not recognised can be told in the next step.",
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
            heads=table.heads,
            lines=table.lines,
            columns=recognised(table.heads, supplier),
            uploaded_at=at,
            uploaded_by=by,
        )


class ColumnsForm(Form):
    """For each thing we read from a list, the column that holds it."""

    def __init__(self, *args: Any, price_list: PriceList, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.price_list = price_list
        heads = [
            (head, _with_examples(head, place, price_list.lines))
            for place, head in enumerate(price_list.heads)
        ]
        for ours, label in LABELS.items():
            self.fields[ours] = forms.ChoiceField(
                label=capfirst(label),
                choices=[("", "Choose one" if ours in NEEDED else "Not in this list"), *heads],
                initial=price_list.columns.get(ours, ""),
                required=ours in NEEDED,
            )
            self.prepare_field(ours)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        taken: dict[str, str] = {}
        for ours in LABELS:
            head = cleaned.get(ours)
            if head and head in taken:
                self.add_error(ours, f"“{head}” is chosen for {LABELS[taken[head]]} already.")
            elif head:
                taken[head] = ours
        return cleaned

    def save(self) -> None:
        self.price_list.columns = {ours: head for ours, head in self.cleaned_data.items() if head}
        self.price_list.save(update_fields=["columns"])


def _with_examples(head: str, place: int, lines: list[list[str]]) -> str:
    cells = (cells[place] for cells in lines if place < len(cells) and cells[place])
    examples = ", ".join(cell[:EXAMPLE_LENGTH] for cell in islice(cells, EXAMPLES))
    return f"{head}: {examples}" if examples else head
