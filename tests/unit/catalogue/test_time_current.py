"""A maker's time-current curve as it is typed: read, or refused by the row and the limit."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from catalogue.demo.curves import CURVES
from catalogue.models import Part, ProtectionKind, ProtectiveDeviceData
from catalogue.models.electrical_data.time_current import CurveRow, read_curve
from electrical.adapters.curves import curve_of_maker


def test_rows_are_read_with_comma_or_point_and_a_dash_for_need_not_open() -> None:
    assert read_curve("1,1 3600 -\n\n 2; 0.15; 5 \n") == (
        CurveRow(Decimal("1.1"), Decimal(3600), None),
        CurveRow(Decimal(2), Decimal("0.15"), Decimal(5)),
    )
    assert read_curve("  \n") == ()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("2 1 5", "write 2 to 12 rows, not 1"),
        ("\n".join(f"{n} 1 5" for n in range(1, 15)), "write 2 to 12 rows, not 14"),
        ("1.1 3600\n2 1 5", "row 1: write three values"),
        ("1.1 3600 -\n2 x 5", "row 2, shortest s: “x” is not a number"),
        ("0.9 3600 -\n2 1 5", "row 1, times rating: 1 to 1000"),
        ("1.1 3600 -\n2 0 5", "row 2, shortest s: 0.0001 to 1000000"),
        ("1.1 3600 -\n2 -1 5", "row 2, shortest s: 0.0001 to 1000000"),
        ("1.1 3600 -\n2 6 5", "row 2: the longest time is under the shortest"),
        ("2 3600 -\n2 1 5", "row 2: times rating must rise"),
        ("1.1 1 -\n2 2 5", "row 2: the shortest time must not rise"),
        ("1.1 3 4\n2 1 5", "row 2: the longest time must not rise"),
        ("1.1 3 4\n2 1 -", "row 2: a larger current opens it too"),
    ],
)
def test_what_can_not_be_a_curve_names_the_row_and_the_limit(text: str, words: str) -> None:
    with pytest.raises(ValidationError) as refused:
        read_curve(text)
    assert words in refused.value.messages[0]


def test_a_curve_names_where_it_is_printed() -> None:
    data = ProtectiveDeviceData(
        part=Part(code="FU-1", description="Fuse", kind="protective_device"),
        device="class_t",
        rating_a=Decimal(100),
        rated_v=Decimal(60),
        time_current="1.1 9 -\n2 1 5",
    )
    data.clean_fields(exclude=["part"])
    with pytest.raises(ValidationError) as refused:
        data.clean()
    assert list(refused.value.message_dict) == ["curve_source"]


def test_a_page_reads_the_curve_in_words() -> None:
    data = ProtectiveDeviceData(
        device="class_t", rating_a=Decimal(100), time_current="1.1 3600 -\n2 0.15 5"
    )
    told = {reading.label: reading.text for reading in data.rows()}
    assert told["maker's time-current curve"] == (
        "1.1 × rating not before 3\u202f600 s; 2 × rating 0.15 to 5 s"
    )


@pytest.mark.parametrize("kind", list(CURVES))
def test_what_the_form_takes_the_core_takes(kind: ProtectionKind) -> None:
    curve = curve_of_maker(CURVES[kind], "sheet 1", melts=True)
    assert curve is not None
    assert str(curve.clause) == "maker's data, sheet 1"
    assert curve is curve_of_maker(CURVES[kind], "sheet 1", melts=True)


def test_no_curve_is_no_curve() -> None:
    assert curve_of_maker("", "", melts=True) is None
