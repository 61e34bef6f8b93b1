"""Exceptions of the electrical core.

::

    CoreError
    ├── BadInput       a value that can not be: negative length, unknown board
    └── OutOfTable     a lookup outside a printed table; tables are never extended

Expected trouble (a cable too thin, data missing) is a returned
:class:`~electrical.core.findings.Finding`, never an exception.
"""

from collections.abc import Mapping

#: No part of a small craft's wiring has a quantity outside these bounds, in its own unit.
SMALLEST = 1e-6
LARGEST = 1e6


class CoreError(Exception):
    """Base of everything the core raises on purpose."""


class BadInput(CoreError, ValueError):
    """A value is impossible. The message names quantity, value, unit and limit."""

    def __init__(self, message: str, *, quantity: str = "") -> None:
        super().__init__(message)
        self.quantity = quantity


class OutOfTable(CoreError, LookupError):
    """A lookup fell outside a printed table.

    The message names the table, the value asked for and what the table holds.
    """

    def __init__(self, *, table: str, asked: str, holds: str) -> None:
        super().__init__(f"{table} has no entry for {asked}; it holds {holds}.")
        self.table = table
        self.asked = asked
        self.holds = holds


def require_positive(quantity: str, value: float, unit: str) -> float:
    """Return `value`, or raise when it is not a finite number above zero.

    Parameters
    ----------
    quantity : str
        What the number is, for the message.
    value : float
        The number [unit].
    unit : str
        Unit of the number.

    Returns
    -------
    float
        `value`, unchanged.

    Raises
    ------
    BadInput
        If `value` is not finite or not above zero.
    """
    if not 0.0 < value < float("inf"):
        raise BadInput(f"{quantity}: {value:g} {unit} must be above 0 {unit}.", quantity=quantity)
    return value


def require_not_negative(quantity: str, value: float, unit: str) -> float:
    """Return `value`, or raise when it is negative or not finite.

    Parameters
    ----------
    quantity : str
        What the number is, for the message.
    value : float
        The number [unit].
    unit : str
        Unit of the number.

    Returns
    -------
    float
        `value`, unchanged.

    Raises
    ------
    BadInput
        If `value` is negative or not finite.
    """
    if not 0.0 <= value < float("inf"):
        raise BadInput(f"{quantity}: {value:g} {unit} must be 0 {unit} or more.", quantity=quantity)
    return value


def check_positive(owner: str, values: Mapping[str, tuple[float | None, str]]) -> None:
    """Raise when one of several known values is not above zero, or beyond all measure.

    Parameters
    ----------
    owner : str
        Whose values they are, for the message.
    values : Mapping[str, tuple[float or None, str]]
        Quantity to (value, unit); None means not known and passes.

    Raises
    ------
    BadInput
        At the first value that is not above zero, below 0.000001 or above 1000000.
    """
    for quantity, (value, unit) in values.items():
        if value is None:
            continue
        name = f"{owner}: {quantity}"
        require_positive(name, value, unit)
        if value < SMALLEST:
            raise BadInput(f"{name}: {value:g} {unit} must be {SMALLEST:f} {unit} or more.")
        _require_measure(name, value, unit)


def check_not_negative(owner: str, values: Mapping[str, tuple[float | None, str]]) -> None:
    """Raise when one of several known values is negative, or beyond all measure.

    Parameters
    ----------
    owner : str
        Whose values they are, for the message.
    values : Mapping[str, tuple[float or None, str]]
        Quantity to (value, unit); None means not known and passes.

    Raises
    ------
    BadInput
        At the first value that is negative or above 1000000.
    """
    for quantity, (value, unit) in values.items():
        if value is not None:
            require_not_negative(f"{owner}: {quantity}", value, unit)
            _require_measure(f"{owner}: {quantity}", value, unit)


def _require_measure(name: str, value: float, unit: str) -> None:
    if value > LARGEST:
        raise BadInput(f"{name}: {value:g} {unit} must be {LARGEST:.0f} {unit} or less.")
