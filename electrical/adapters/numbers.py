"""Stored decimals as the floats the core computes with; "not known" stays None."""

from decimal import Decimal

SYSTEM_VOLTAGES = (6.0, 12.0, 24.0, 36.0, 48.0)


def number(value: Decimal | float | None) -> float | None:
    return None if value is None else float(value)


def fraction(percent: Decimal | None) -> float | None:
    """Stored before there was a limit, less than 1 % is a slip of the pen: not known."""
    return None if percent is None or percent < 1 else float(percent) / 100.0


def system_v(nominal_v: Decimal | float) -> float:
    """The system a device belongs to: 12.8 V cells are a 12 V system, 51.2 V a 48 V one."""
    return min(SYSTEM_VOLTAGES, key=lambda volts: abs(volts - float(nominal_v)))
