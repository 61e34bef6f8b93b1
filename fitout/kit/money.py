"""Money is Decimal; this module holds the only rounding and the only wording of amounts."""

from decimal import ROUND_HALF_UP, Decimal

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
    """A quantity without idle zeros: 2, 2.5, 1,250."""
    value = Decimal(str(quantity)).quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)
    text = f"{value:,f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def typed_text(quantity: Decimal | float, places: int = 3) -> str:
    """The same as a person types it: thousands not set apart."""
    return quantity_text(quantity, places).replace(",", "")


def percent_text(percent: Decimal | float, places: int = 1) -> str:
    return f"{quantity_text(percent, places)}{NARROW}%"
