"""Reading a price list file, checking it row by row, and doing what the check showed."""

import io
import zipfile
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from openpyxl import Workbook

from catalogue.models import PriceList, Supplier, SupplierPart
from catalogue.price_lists import applying
from catalogue.price_lists.checking import Check, check
from catalogue.price_lists.columns import recognised, rows_of
from catalogue.price_lists.reading import read_table
from fitout.kit.models import AuditEntry, User
from tests.factories.jobs import make_offer, make_part, make_supplier

NOW = datetime(2026, 5, 4, 10, 0, tzinfo=UTC)


def csv(*lines: str) -> bytes:
    return "\n".join(lines).encode()


def test_csv_is_read_as_text() -> None:
    table = read_table("list.csv", csv("Price;Their Code;Colour", "1.200,50;00123;red", "NA;x;"))
    assert table.heads == ["Price", "Their Code", "Colour"]
    assert table.lines == [["1.200,50", "00123", "red"], ["NA", "x"]]


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_the_separator_is_found(separator: str) -> None:
    table = read_table("l.csv", csv(separator.join(["code", "cost"]), separator.join(["A", "5"])))
    assert table.lines == [["A", "5"]]


def test_letters_of_an_older_encoding_are_read() -> None:
    table = read_table("l.csv", "code;cost;description\nA;5;Kabel Ø 5 mm".encode("cp1252"))
    assert table.lines[0][2] == "Kabel Ø 5 mm"


def test_a_heading_that_is_empty_or_twice_there_is_told_apart_by_its_column() -> None:
    table = read_table("l.csv", csv("code;price;;price", "A;1;2;3"))
    assert table.heads == ["code", "price", "(column 3)", "price (column 4)"]


def xlsx(*rows: tuple[str | float | None, ...]) -> bytes:
    book = Workbook()
    for row in rows:
        book.active.append(row)  # type: ignore[union-attr]
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()


def test_xlsx_numbers_keep_their_digits() -> None:
    table = read_table(
        "l.xlsx", xlsx(("code", "cost", "lead days"), ("00123", 12.1, 7), (45, 3, None))
    )
    assert table.lines == [["00123", "12.1", "7"], ["45", "3"]]


def test_formulas_are_not_computed() -> None:
    table = read_table("l.xlsx", xlsx(("code", "cost"), ("A", "=1+1")))
    assert table.lines == [["A"]]


def bomb() -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/workbook.xml", b"0" * (61 * 1024 * 1024))
    return made.getvalue()


@pytest.mark.parametrize(
    ("name", "content", "message"),
    [
        ("l.csv", b"", "the file is empty."),
        ("l.csv", csv("code,price"), "there is no row below the headings."),
        ("l.csv", csv("code", "A"), "two columns at least: the supplier’s code and the cost."),
        (
            "l.csv",
            csv("code,price", "A,1", "B,1,2,3"),
            "its rows do not all have the same columns.",
        ),
        ("l.csv", csv("code,price", *["A,1"] * 5001), "5,000 rows at most, not 5,001."),
        ("l.csv", csv(",".join(f"c{i}" for i in range(61)), "1"), "60 columns at most, not 61."),
        ("l.pdf", b"%PDF-1.7", "send a CSV or an XLSX file."),
        ("l.csv", b"code,price\nA\0,1", "this is not a text file."),
        ("l.xlsx", b"PK\x03\x04 broken", "this workbook cannot be read."),
        ("l.xlsx", bomb(), "60 MB at most when unpacked."),
        ("l.csv", b"x" * (5 * 1024 * 1024 + 1), "5 MB at most."),
    ],
)
def test_a_file_that_cannot_be_used_is_refused_with_the_reason(
    name: str, content: bytes, message: str
) -> None:
    with pytest.raises(ValidationError) as refused:
        read_table(name, content)
    assert message in refused.value.messages[0]


def price_list(supplier: Supplier, *lines: str) -> PriceList:
    table = read_table("list.csv", csv(*lines))
    return PriceList.objects.create(
        supplier=supplier,
        filename="list.csv",
        price_date=date(2026, 5, 1),
        heads=table.heads,
        lines=table.lines,
        columns=recognised(table.heads, supplier),
        uploaded_at=NOW,
    )


def outcomes(found: Check) -> list[str]:
    return [row.outcome.value for row in found.rows]


def problems(found: Check) -> list[str]:
    return [f"{column}: {text}" for row in found.rows for column, text in row.problems]


def offer_of(supplier: Supplier, code: str, cost: str = "10.00") -> SupplierPart:
    return make_offer(make_part(code=code, cost=None), cost=cost, supplier=supplier)


@pytest.mark.django_db
def test_headings_are_recognised_in_any_case_and_order() -> None:
    supplier = make_supplier()
    made = price_list(supplier, "Net-Price;Their Code;Colour;LEAD_TIME", "9;A;red;4", "8;B")
    assert made.columns == {
        "supplier_code": "Their Code",
        "cost": "Net-Price",
        "lead_days": "LEAD_TIME",
    }
    assert made.ignored == ["Colour"]
    told = [
        (line, texts["cost"], texts["lead_days"], texts["our_code"])
        for line, texts in rows_of(made)
    ]
    assert told == [(2, "9", "4", ""), (3, "8", "", "")]


@pytest.mark.django_db
def test_columns_are_as_in_the_last_list_of_the_supplier_before_any_heading() -> None:
    supplier = make_supplier()
    last = price_list(supplier, "code;price;netto", "A;9;7")
    last.columns = {"supplier_code": "code", "cost": "netto"}
    last.save()
    made = price_list(supplier, "netto;price;code", "7;9;A")
    assert made.columns == {"supplier_code": "code", "cost": "netto"}
    assert price_list(make_supplier(), "code;price", "A;9").columns["cost"] == "price"


@pytest.mark.django_db
def test_each_row_is_new_changed_unchanged_or_refused() -> None:
    supplier = make_supplier()
    offer_of(supplier, "P-1")
    offer_of(supplier, "P-2")
    make_part(code="P-3")
    found = check(
        price_list(
            supplier,
            "supplier code;our code;cost",
            "s-p-1;;11,25",
            "S-P-2;;10",
            "N-3;p-3;4.20",
            "N-4;;1",
        )
    )
    assert outcomes(found) == ["changed", "unchanged", "new", "refused"]
    assert found.rows[0].differences == [
        ("supplier’s code", "S-P-1", "s-p-1"),
        ("cost", Decimal("10.00"), Decimal("11.25")),
    ]
    assert problems(found) == [
        "supplier code: is not known here; give our code to make it an offer."
    ]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("row", "problem"),
    [
        (";P-1;1;1;1", "article: is empty."),
        ("S-P-1;;;1;1", "net price: is empty."),
        ("S-P-1;;cheap;1;1", "net price: write a number, such as 12.5."),
        ("S-P-1;;-1;1;1", "net price: 0 at least."),
        ("S-P-1;;1.234;1;1", "net price: at most 2 decimals."),
        ("S-P-1;;1;0;1", "pack: 0.01 at least."),
        ("S-P-1;;1;1;800", "lead time: 730\xa0days at most."),
        ("S-P-1;NOPE;1;1;1", "part code: there is no part “NOPE”."),
        ("S-P-1;P-2;1;1;1", "part code: this supplier’s code belongs to P-1."),
        (f"{'x' * 61};P-2;1;1;1", "article: 60 characters at most."),
    ],
)
def test_a_wrong_cell_refuses_its_row_and_names_the_column(row: str, problem: str) -> None:
    supplier = make_supplier()
    offer_of(supplier, "P-1")
    make_part(code="P-2")
    found = check(price_list(supplier, "article;part code;net price;pack;lead time", row))
    assert problem in problems(found)
    assert outcomes(found) == ["refused"]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("cost", "moved_pct", "is_large"),
    [("11.25", "12.5", False), ("12.50", "25", True), ("1.00", "-90", True), ("10", None, False)],
)
def test_a_cost_that_moves_by_a_quarter_is_worth_a_second_look(
    cost: str, moved_pct: str | None, is_large: bool
) -> None:
    supplier = make_supplier()
    offer_of(supplier, "P-1", cost="10.00")
    (row,) = check(price_list(supplier, "code;cost", f"S-P-1;{cost}")).rows
    assert row.cost_change_pct == (None if moved_pct is None else Decimal(moved_pct))
    assert row.is_large_change is is_large


@pytest.mark.django_db
def test_the_second_row_about_the_same_thing_is_refused() -> None:
    supplier = make_supplier()
    offer_of(supplier, "P-1")
    found = check(price_list(supplier, "code,our code,cost", "S-P-1,,5", "s-p-1,,6", "OTHER,P-1,7"))
    assert outcomes(found) == ["changed", "refused", "refused"]
    assert problems(found) == [
        "code: stands in row 2 already.",
        "our code: row 2 is about the same part already.",
    ]


@pytest.mark.django_db
def test_applying_changes_and_adds_offers_with_their_price_history(owner: User) -> None:
    supplier = make_supplier()
    offer = offer_of(supplier, "P-1")
    make_part(code="P-3", cost=None)
    made = price_list(
        supplier, "code,our code,cost,pack", "S-P-1,,11.25,5", "N-3,P-3,4.20,", "X,,1,"
    )
    applying.apply(made, seal=check(made).seal, by=owner, at=NOW)
    offer.refresh_from_db()
    assert (offer.cost, offer.pack_quantity, offer.version) == (Decimal("11.25"), Decimal(5), 2)
    assert offer.price_date == date(2026, 5, 1)
    assert [change.cost for change in offer.price_changes.all()] == [Decimal("11.25"), Decimal(10)]
    assert offer.price_changes.latest("pk").recorded_by == owner
    added = SupplierPart.objects.get(part__code="P-3")
    assert (added.cost, added.lead_days, added.preferred) == (Decimal("4.20"), 7, False)
    made.refresh_from_db()
    assert (made.state, made.result) == ("applied", "1 new, 1 changed, 1 refused")
    assert AuditEntry.objects.latest("pk").label == (
        "Applied price list list.csv: 1 new, 1 changed, 1 refused"
    )


@pytest.mark.django_db
def test_a_list_is_not_applied_when_the_catalogue_moved_since_it_was_looked_at(
    owner: User,
) -> None:
    supplier = make_supplier()
    offer = offer_of(supplier, "P-1")
    made = price_list(supplier, "code,cost", "S-P-1,11")
    seal = check(made).seal
    SupplierPart.objects.filter(pk=offer.pk).update(cost="10.50")
    with pytest.raises(applying.Moved):
        applying.apply(made, seal=seal, by=owner, at=NOW)
    offer.refresh_from_db()
    assert offer.cost == Decimal("10.50")


@pytest.mark.django_db
def test_a_list_is_applied_once(owner: User) -> None:
    supplier = make_supplier()
    offer_of(supplier, "P-1")
    made = price_list(supplier, "code,cost", "S-P-1,11")
    applying.apply(made, seal=check(made).seal, by=owner, at=NOW)
    with pytest.raises(applying.Moved):
        applying.apply(made, seal=check(made).seal, by=owner, at=NOW)


@pytest.mark.django_db
def test_dropping_a_list_changes_no_price(owner: User) -> None:
    supplier = make_supplier()
    offer = offer_of(supplier, "P-1")
    made = price_list(supplier, "code,cost", "S-P-1,11")
    applying.drop(made, by=owner, at=NOW)
    offer.refresh_from_db()
    assert offer.cost == Decimal("10.00")
    made.refresh_from_db()
    assert made.state == "dropped"


@pytest.mark.django_db
def test_a_cost_that_can_be_read_two_ways_refuses_its_row() -> None:
    supplier = make_supplier()
    offer_of(supplier, "P-1")
    found = check(price_list(supplier, "code;cost", "S-P-1;1,234"))
    assert outcomes(found) == ["refused"]
    assert problems(found) == ["cost: write 1234 or 1.23; 1,234 can be read two ways."]
