import contextlib
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitout.kit.numbers import CannotTell, parse_number

pytestmark = pytest.mark.pure


@pytest.mark.parametrize(
    ("typed", "number"),
    [
        ("1,5", "1.5"),
        ("1.5", "1.5"),
        (" 12 ", "12"),
        ("1 234,5", "1234.5"),
        ("1\u202f234,5", "1234.5"),
        ("1,234.5", "1234.5"),
        ("1.234,5", "1234.5"),
        ("1.234.567", "1234567"),
        (",5", "0.5"),
        ("5.", "5"),
        ("1.234", "1.234"),
        ("0,125", "0.125"),
        ("1234,567", "1234.567"),
        ("1,2345", "1.2345"),
        ("−3", "-3"),
        ("+3", "3"),
    ],
)
def test_numbers_are_read_as_people_type_them(typed: str, number: str) -> None:
    assert parse_number(typed) == Decimal(number)


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "-",
        ".",
        "abc",
        "1e5",
        "nan",
        "inf",
        "12 34",
        "1,2,3",
        "1..2",
        "3 m",
        "٣",
        "0x1",
        "9" * 41,
    ],
)
def test_what_is_no_number_is_refused(typed: str) -> None:
    with pytest.raises(ValueError):  # noqa: PT011 - the field words the message
        parse_number(typed)


@pytest.mark.parametrize(
    ("typed", "in_thousands", "as_decimal"),
    [("1,234", "1234", "1.234"), ("-12,500", "-12500", "-12.500"), (" 999,000 ", "999000", "999")],
)
def test_a_comma_before_three_figures_is_not_guessed(
    typed: str, in_thousands: str, as_decimal: str
) -> None:
    with pytest.raises(CannotTell) as both:
        parse_number(typed)
    assert both.value.in_thousands == Decimal(in_thousands)
    assert both.value.as_decimal == Decimal(as_decimal)


@given(st.decimals(min_value=-(10**9), max_value=10**9, places=3, allow_nan=False))
def test_a_number_written_with_either_sign_reads_the_same(number: Decimal) -> None:
    plain = f"{number:f}"
    assert parse_number(plain) == number
    with contextlib.suppress(CannotTell):
        assert parse_number(plain.replace(".", ",")) == number
    with contextlib.suppress(CannotTell):
        assert parse_number(f"{number:,f}") == number


@given(st.text(max_size=60))
def test_any_text_is_a_number_or_refused(typed: str) -> None:
    with contextlib.suppress(ValueError):
        assert parse_number(typed).is_finite()
