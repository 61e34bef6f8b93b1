"""Money is Decimal; this module holds the only rounding and the only wording of amounts."""

from decimal import ROUND_HALF_UP, Decimal

from fitout.kit.text import THIN_SPACE, in_thousands

CENT = Decimal("0.01")
SYMBOLS = {"EUR": "€", "GBP": "£", "USD": "$"}
NARROW = "\N{NO-BREAK SPACE}"


def round_money(amount: Decimal | int) -> Decimal:
    """Half a cent goes up, away from zero, as invoices are rounded by hand."""
    return Decimal(amount).quantize(CENT, rounding=ROUND_HALF_UP)


def symbol_of(currency: str = "EUR") -> str:
    return SYMBOLS.get(currency, currency)


def money_text(amount: Decimal | int, currency: str = "EUR") -> str:
    rounded = round_money(amount)
    sign = "-" if rounded < 0 else ""
    symbol = SYMBOLS.get(currency, f"{currency}{NARROW}")
    return f"{sign}{symbol}{abs(rounded):,.2f}"


def quantity_text(quantity: Decimal | float, places: int = 3) -> str:
    """A quantity without idle zeros: 2, 2.5, 1 250 with a narrow space."""
    return in_thousands(typed_text(quantity, places))


def limit_text(quantity: Decimal, places: int, unit: str) -> str:
    """The limit of a field with its unit; of money as amounts are told."""
    is_money = unit.split(" ", maxsplit=1)[0] in {*SYMBOLS, *SYMBOLS.values()}
    text = quantity_text(quantity, places)
    text = text.replace(THIN_SPACE, ",") if is_money else text
    return f"{text}{NARROW}{unit}" if unit else text


def typed_text(quantity: Decimal | float, places: int = 3) -> str:
    """The same as a person types it: thousands not set apart."""
    value = Decimal(str(quantity)).quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)
    text = f"{value:f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def percent_text(percent: Decimal | float, places: int = 1) -> str:
    return f"{quantity_text(percent, places)}{NARROW}%"
