from decimal import Decimal

import pytest

from fitout.kit.money import (
    limit_text,
    money_text,
    percent_text,
    quantity_text,
    round_money,
    typed_text,
)

pytestmark = pytest.mark.pure


@pytest.mark.parametrize(
    ("amount", "rounded"),
    [
        ("0.005", "0.01"),
        ("-0.005", "-0.01"),
        ("2.675", "2.68"),
        ("2.6749", "2.67"),
        ("1E+3", "1000.00"),
    ],
)
def test_half_a_cent_rounds_away_from_zero(amount: str, rounded: str) -> None:
    assert round_money(Decimal(amount)) == Decimal(rounded)
    assert round_money(Decimal(amount)).as_tuple().exponent == -2


@pytest.mark.parametrize(
    ("amount", "currency", "text"),
    [
        ("1234.5", "EUR", "€1,234.50"),
        ("-12", "EUR", "-€12.00"),
        ("-0.001", "EUR", "€0.00"),
        ("0", "GBP", "£0.00"),
        ("5", "NOK", "NOK\u00a05.00"),
    ],
)
def test_amounts_are_told_with_their_currency(amount: str, currency: str, text: str) -> None:
    assert money_text(Decimal(amount), currency) == text


@pytest.mark.parametrize(
    ("quantity", "text"),
    [
        ("2.000", "2"),
        ("2.500", "2.5"),
        ("1250", "1\u202f250"),
        ("-1250.5", "-1\u202f250.5"),
        ("-0.5", "-0.5"),
        ("0.0004", "0"),
        ("-0.0001", "0"),
    ],
)
def test_quantities_lose_idle_zeros(quantity: str, text: str) -> None:
    assert quantity_text(Decimal(quantity)) == text


def test_percent_keeps_its_sign_on_the_same_line() -> None:
    assert percent_text(Decimal("23.0")) == "23\u00a0%"
    assert percent_text(3.26) == "3.3\u00a0%"


@pytest.mark.parametrize(
    ("unit", "text"),
    [
        ("€", "12,500\u00a0€"),
        ("€ per m", "12,500\u00a0€ per m"),
        ("EUR", "12,500\u00a0EUR"),
        ("kg", "12\u202f500\u00a0kg"),
        ("", "12\u202f500"),
    ],
)
def test_limits_of_money_keep_commas_and_others_narrow_spaces(unit: str, text: str) -> None:
    assert limit_text(Decimal(12500), 2, unit) == text


def test_what_is_typed_stands_together() -> None:
    assert typed_text(Decimal("-12500.50")) == "-12500.5"
