"""What each battery chemistry is taken to give and to accept.

One table, the workshop's conventions for 12 V and 24 V house batteries, each
value with the status of its source.  The battery maker's data always prevails:
every function that takes one of these values also takes the maker's figure.
"""

from dataclasses import dataclass

from electrical.core.sources import Chemistry
from electrical.core.status import SourceStatus

__all__ = ["CONVENTIONS", "Convention", "Sourced", "convention"]


@dataclass(frozen=True, slots=True)
class Sourced:
    """A number with where it comes from.

    Parameters
    ----------
    value : float
        The figure [in the unit its holder says].
    status : SourceStatus
        How sure we are of the source.
    source : str
        The source in words.
    """

    value: float
    status: SourceStatus
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Convention:
    """Conventions for one chemistry.

    Parameters
    ----------
    chemistry : Chemistry
        Which kind.
    usable_depth : Sourced
        Part of the rated capacity that is used before recharging [-], 0 to 1.
        Where the convention is a range, its lower end.
    acceptance_c20 : Sourced
        Largest bulk charging current as a multiple of the 20-hour capacity
        [1/h].  Where the convention is a range, its lower end.
    coulombic_efficiency : Sourced
        Amp-hours out per amp-hour in over a full cycle [-], 0 to 1.
    peukert_exponent : Sourced
        Exponent of the rated-hour Peukert form [-], upper end of the range.
    self_discharge_pct_month : Sourced
        Loss at rest [% of capacity per month], upper end.
    min_charge_c : Sourced
        Lowest cell temperature at which charging is allowed [deg C].
    """

    chemistry: Chemistry
    usable_depth: Sourced
    acceptance_c20: Sourced
    coulombic_efficiency: Sourced
    peukert_exponent: Sourced
    self_discharge_pct_month: Sourced
    min_charge_c: Sourced


def _memory(value: float) -> Sourced:
    return Sourced(value, SourceStatus.MEMORY, "battery conventions")


def _second(value: float) -> Sourced:
    return Sourced(value, SourceStatus.SECOND_HAND, "battery conventions, two secondary pages")


CONVENTIONS: dict[Chemistry, Convention] = {
    Chemistry.FLOODED: Convention(
        chemistry=Chemistry.FLOODED,
        usable_depth=_second(0.50),
        acceptance_c20=_memory(0.25),
        coulombic_efficiency=_second(0.85),
        peukert_exponent=_memory(1.30),
        self_discharge_pct_month=_memory(6.0),
        min_charge_c=_memory(-20.0),
    ),
    Chemistry.AGM: Convention(
        chemistry=Chemistry.AGM,
        usable_depth=_second(0.50),
        acceptance_c20=_memory(0.30),
        coulombic_efficiency=_memory(0.90),
        peukert_exponent=_memory(1.15),
        self_discharge_pct_month=_memory(3.0),
        min_charge_c=_memory(-20.0),
    ),
    Chemistry.GEL: Convention(
        chemistry=Chemistry.GEL,
        usable_depth=_second(0.50),
        acceptance_c20=_memory(0.20),
        coulombic_efficiency=_memory(0.90),
        peukert_exponent=_memory(1.20),
        self_discharge_pct_month=_memory(3.0),
        min_charge_c=_memory(-20.0),
    ),
    Chemistry.LFP: Convention(
        chemistry=Chemistry.LFP,
        usable_depth=_memory(0.80),
        acceptance_c20=_memory(0.50),
        coulombic_efficiency=_memory(0.99),
        peukert_exponent=_memory(1.05),
        self_discharge_pct_month=_memory(3.0),
        min_charge_c=_memory(0.0),
    ),
}


def convention(chemistry: Chemistry | None) -> Convention | None:
    """Return the conventions for one chemistry.

    Parameters
    ----------
    chemistry : Chemistry or None
        Which kind of battery; None when not known.

    Returns
    -------
    Convention or None
        The row; every value carries the status of its source.  None when the
        chemistry is not known or has no conventions: ask for the maker's data.
    """
    return None if chemistry is None else CONVENTIONS.get(chemistry)
