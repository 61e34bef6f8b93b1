"""Current asked for in one operating state, added up."""

from collections.abc import Iterable
from operator import attrgetter
from typing import NamedTuple

from electrical.core.design import OperatingState
from electrical.core.parts import Load


class Demand(NamedTuple):
    """Current asked for in one operating state.

    Parameters
    ----------
    current_a : float
        Running current [A].
    continuous_a : float
        Part of it that runs for hours [A].
    start_extra_a : float
        What the one motor with the largest start adds while it starts [A].
    start_s : float
        How long that lasts [s].
    unknown : tuple of str
        Parts whose current is not known, in words.
    """

    current_a: float = 0.0
    continuous_a: float = 0.0
    start_extra_a: float = 0.0
    start_s: float = 0.0
    unknown: tuple[str, ...] = ()

    def while_starting_a(self) -> float:
        """Return the largest current while the one motor starts [A]."""
        return self.current_a + self.start_extra_a

    def times(self, factor: float) -> "Demand":
        """Return the demand with every current multiplied by `factor`."""
        return Demand(
            current_a=self.current_a * factor,
            continuous_a=self.continuous_a * factor,
            start_extra_a=self.start_extra_a * factor,
            start_s=self.start_s,
            unknown=self.unknown,
        )


NOTHING = Demand()


def together(demands: Iterable[Demand]) -> Demand:
    """Return what several ask for at once; of their starts the one that adds most.

    Parameters
    ----------
    demands : Iterable of Demand
        What each asks for.

    Returns
    -------
    Demand
        Their sum.
    """
    asked = [demand for demand in demands if demand is not NOTHING]
    if len(asked) < 2:
        return asked[0] if asked else NOTHING
    hardest = max(asked, key=_start_extra_a)
    return Demand(
        current_a=sum([demand.current_a for demand in asked]),
        continuous_a=sum([demand.continuous_a for demand in asked]),
        start_extra_a=hardest.start_extra_a,
        start_s=hardest.start_s,
        unknown=tuple([name for demand in asked for name in demand.unknown]),
    )


_start_extra_a = attrgetter("start_extra_a")


def load_demand(load: Load, state: OperatingState) -> Demand:
    """Return what one load asks for in one operating state.

    Parameters
    ----------
    load : Load
        The device.
    state : OperatingState
        The state.

    Returns
    -------
    Demand
        Nothing when it is off.
    """
    current_a = load.current_in(state.loads_id)
    if current_a is None:
        return Demand(unknown=(f"current of {load.label}",))
    if current_a == 0.0:
        return NOTHING
    start_a = load.start_current_a or 0.0
    return Demand(
        current_a=current_a,
        continuous_a=current_a if load.continuous else 0.0,
        start_extra_a=max(0.0, start_a - current_a),
        start_s=load.start_s if start_a > current_a else 0.0,
    )
