"""A price list waiting to be looked at, and documents of a few parts."""

from __future__ import annotations

from datetime import date

from django.utils import timezone

from catalogue.data_sheet import data_sheet
from catalogue.demo.tables import DATA
from catalogue.models import Part, PriceList, Supplier
from catalogue.part_documents import attach
from catalogue.price_lists.columns import recognised
from catalogue.price_lists.reading import read_table
from fitout.kit.models import User

WITH_DATA_SHEET = ("AN-ANCHOR-10", "BT-LFP-200", "BM-60-48", "NE-RADAR-450")
PRICE_LIST = "ebb-street-spring.csv"


def load(by: User, today: date) -> None:
    _price_list(by, today)
    for part in Part.objects.for_page().filter(code__in=WITH_DATA_SHEET, documents=None):
        sheet = data_sheet(part, today=today)
        attach(part, title="Data sheet", file=sheet, link="", by=by, at=timezone.now())


def _price_list(by: User, today: date) -> None:
    supplier = Supplier.objects.get(code="ebbstreet")
    if supplier.price_lists.filter(filename=PRICE_LIST).exists():
        return
    table = read_table(PRICE_LIST, (DATA / PRICE_LIST).read_bytes())
    PriceList.objects.create(
        supplier=supplier,
        filename=PRICE_LIST,
        price_date=today,
        heads=table.heads,
        lines=table.lines,
        columns=recognised(table.heads, supplier),
        uploaded_at=timezone.now(),
        uploaded_by=by,
    )
