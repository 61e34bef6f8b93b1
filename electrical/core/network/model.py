"""What a network is made of: branches, sources, loads and converters.

Every part has a name of the caller's and lies between named nodes.  Positive and
return conductors are both branches of their own.  Nothing is ideal: each branch
has a resistance, each source an internal one.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from typing import TypeVar

from electrical.core.errors import BadInput, require_not_negative, require_positive

__all__ = [
    "LEAST_POWER_W",
    "MAX_RESISTANCE_OHM",
    "MIN_RESISTANCE_OHM",
    "Branch",
    "BranchKind",
    "Converter",
    "Load",
    "Network",
    "Source",
]

_Part = TypeVar("_Part")

MIN_RESISTANCE_OHM = 1e-6
"""Least resistance of a branch or source [ohm]: a bolted joint is about ten times more."""

MAX_RESISTANCE_OHM = 1e5
"""Largest resistance of a branch or source [ohm]: more is an open circuit."""

LEAST_POWER_W = 1e-9
"""Less constant power than this counts as none [W].

Even against the stiffest branch, 1e6 S, what is more needs some 3e-8 V, ``(P/G)**0.5``,
to have a working point: far more than the rounding of a solve.
"""


class BranchKind(StrEnum):
    """What a branch is."""

    CONDUCTOR = "conductor"
    PROTECTION = "protective device"
    SWITCH = "switch"
    BUSBAR = "busbar"


def _require_resistance(name: str, value_ohm: float) -> None:
    require_positive(name, value_ohm, "ohm")
    if value_ohm < MIN_RESISTANCE_OHM:
        raise BadInput(
            f"{name}: {value_ohm:g} ohm is below {MIN_RESISTANCE_OHM:g} ohm.", quantity=name
        )
    if value_ohm > MAX_RESISTANCE_OHM:
        raise BadInput(
            f"{name}: {value_ohm:g} ohm is above {MAX_RESISTANCE_OHM:g} ohm.", quantity=name
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Branch:
    """A resistance between two nodes: conductor, fuse, breaker, switch, busbar.

    Parameters
    ----------
    branch_id : str
        Name, unique among branches.
    from_node, to_node : str
        The nodes it joins; current is counted positive from the first to the second.
    resistance_ohm : float
        Resistance [ohm], 1e-6 to 1e5.
    kind : BranchKind
        What it is.
    is_closed : bool
        False for an open switch or a blown fuse: the branch then carries nothing.

    Raises
    ------
    BadInput
        If the resistance is not within 1e-6 to 1e5 ohm.
    """

    branch_id: str
    from_node: str
    to_node: str
    resistance_ohm: float
    kind: BranchKind = BranchKind.CONDUCTOR
    is_closed: bool = True

    def __post_init__(self) -> None:
        if not MIN_RESISTANCE_OHM <= self.resistance_ohm <= MAX_RESISTANCE_OHM:
            _require_resistance(f"{self.branch_id}: resistance", self.resistance_ohm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A voltage behind a resistance, with limits on its current.

    Parameters
    ----------
    source_id : str
        Name, unique among sources and converters.
    positive, negative : str
        Its two nodes.
    emf_v : float
        Voltage with no current [V], 0 or more.
    resistance_ohm : float
        Internal resistance [ohm], 1e-6 to 1e5.
    max_current_a : float or None
        Largest current it gives [A]; None when nothing limits it.
    min_current_a : float or None
        Least current [A]: 0 for a charger, which takes nothing back; None for a
        battery, which does.  Never above 0.
    is_limit_electronic : bool
        True when the limit is a regulator's and also holds in a short circuit.
        False for a battery-management limit, which is not a fault rating.
    fault_resistance_ohm : float or None
        Resistance to use for fault currents [ohm]; None takes `resistance_ohm`.

    Raises
    ------
    BadInput
        If a value is impossible.
    """

    source_id: str
    positive: str
    negative: str
    emf_v: float
    resistance_ohm: float
    max_current_a: float | None = None
    min_current_a: float | None = None
    is_limit_electronic: bool = False
    fault_resistance_ohm: float | None = None

    def __post_init__(self) -> None:
        name = self.source_id
        require_not_negative(f"{name}: voltage", self.emf_v, "V")
        _require_resistance(f"{name}: internal resistance", self.resistance_ohm)
        if self.max_current_a is not None:
            require_not_negative(f"{name}: largest current", self.max_current_a, "A")
        if self.min_current_a is not None:
            require_not_negative(f"{name}: largest reverse current", -self.min_current_a, "A")
        if self.fault_resistance_ohm is not None:
            _require_resistance(f"{name}: fault resistance", self.fault_resistance_ohm)

    @property
    def is_limited(self) -> bool:
        """True when a current limit applies in either direction."""
        return self.max_current_a is not None or self.min_current_a is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What uses power: constant power, constant current, resistance, or a mix.

    Parameters
    ----------
    load_id : str
        Name, unique among loads.
    positive, negative : str
        Its two nodes.
    power_w : float
        Constant-power part [W], 0 or more; less than 1e-9 W counts as none.
    current_a : float
        Constant-current part [A], 0 or more.
    resistance_ohm : float or None
        Resistive part [ohm], 1e-6 to 1e5; None for none.
    min_v : float or None
        Least voltage it works at [V]; None when not known.

    Raises
    ------
    BadInput
        If a value is impossible.
    """

    load_id: str
    positive: str
    negative: str
    power_w: float = 0.0
    current_a: float = 0.0
    resistance_ohm: float | None = None
    min_v: float | None = None

    def __post_init__(self) -> None:
        if not 0.0 <= self.power_w < math.inf:
            require_not_negative(f"{self.load_id}: power", self.power_w, "W")
        if self.power_w < LEAST_POWER_W:
            object.__setattr__(self, "power_w", 0.0)
        if not 0.0 <= self.current_a < math.inf:
            require_not_negative(f"{self.load_id}: current", self.current_a, "A")
        if self.resistance_ohm is not None:
            _require_resistance(f"{self.load_id}: resistance", self.resistance_ohm)
        if self.min_v is not None:
            require_not_negative(f"{self.load_id}: minimum working voltage", self.min_v, "V")

    def current_at_a(self, voltage_v: float) -> float:
        """Return the current drawn at a voltage.

        Parameters
        ----------
        voltage_v : float
            Voltage across the load [V], above 0 when it has a constant-power part.

        Returns
        -------
        float
            Current [A].
        """
        conductance = 0.0 if self.resistance_ohm is None else 1.0 / self.resistance_ohm
        power_a = self.power_w / voltage_v if self.power_w else 0.0
        return power_a + self.current_a + voltage_v * conductance


@dataclass(frozen=True, slots=True, kw_only=True)
class Converter:
    """A step-up or step-down converter, or a DC-DC charger.

    The output is a voltage behind a small resistance with a current limit; the
    input takes whatever power the output gives, divided by the efficiency, plus
    the idle power.  Nothing flows back.

    Parameters
    ----------
    converter_id : str
        Name, unique among sources and converters.
    in_positive, in_negative : str
        Input nodes.
    out_positive, out_negative : str
        Output nodes; the same negative as the input when not isolated.
    out_v : float
        Output voltage with no current [V], above 0.
    out_resistance_ohm : float
        Output resistance [ohm], 1e-6 to 1e5.
    max_current_a : float or None
        Output current limit [A]; None for none.
    efficiency : float or tuple of (float, float)
        Constant [-], above 0 to 1, or a curve of (output power [W], efficiency)
        with ascending powers; between points linear, beyond them the end value.
    idle_w : float
        Power taken with no output [W], 0 or more.
    cutoff_v : float or None
        Input voltage under which it switches off [V]; None for none.
    is_on : bool
        False when switched off.

    Raises
    ------
    BadInput
        If a value is impossible.
    """

    converter_id: str
    in_positive: str
    in_negative: str
    out_positive: str
    out_negative: str
    out_v: float
    out_resistance_ohm: float = 0.001
    max_current_a: float | None = None
    efficiency: float | tuple[tuple[float, float], ...] = 0.9
    idle_w: float = 0.0
    cutoff_v: float | None = None
    is_on: bool = True

    def __post_init__(self) -> None:
        name = self.converter_id
        require_positive(f"{name}: output voltage", self.out_v, "V")
        _require_resistance(f"{name}: output resistance", self.out_resistance_ohm)
        require_not_negative(f"{name}: idle power", self.idle_w, "W")
        if self.max_current_a is not None:
            require_not_negative(f"{name}: output current limit", self.max_current_a, "A")
        if self.cutoff_v is not None:
            require_not_negative(f"{name}: input cut-off", self.cutoff_v, "V")
        points = self._points()
        if not points or any(not 0.0 < eff <= 1.0 for _, eff in points):
            raise BadInput(f"{name}: efficiency must be above 0 and at most 1.")
        powers = [power_w for power_w, _ in points]
        if any(low >= high for low, high in pairwise(powers)):
            raise BadInput(f"{name}: efficiency curve needs ascending output powers.")

    def _points(self) -> tuple[tuple[float, float], ...]:
        return self.efficiency if isinstance(self.efficiency, tuple) else ((0.0, self.efficiency),)

    def efficiency_at(self, out_w: float) -> float:
        """Return the efficiency at an output power.

        Parameters
        ----------
        out_w : float
            Output power [W].

        Returns
        -------
        float
            Efficiency [-].
        """
        if not isinstance(self.efficiency, tuple):
            return self.efficiency
        points = self.efficiency
        if out_w <= points[0][0]:
            return points[0][1]
        for (low_w, low), (high_w, high) in pairwise(points):
            if out_w <= high_w:
                return low + (high - low) * (out_w - low_w) / (high_w - low_w)
        return points[-1][1]

    def in_power_w(self, out_w: float) -> float:
        """Return the input power for an output power.

        Parameters
        ----------
        out_w : float
            Output power [W]; below 0 counts as 0.

        Returns
        -------
        float
            Input power [W]; less than 1e-9 W counts as none.
        """
        given_w = max(out_w, 0.0)
        taken_w = given_w / self.efficiency_at(given_w) + self.idle_w
        return taken_w if taken_w >= LEAST_POWER_W else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """Everything connected, in one operating state.

    Parameters
    ----------
    branches : tuple of Branch
        Conductors, devices, switches, busbars.
    sources : tuple of Source
        Batteries, chargers, alternators.
    loads : tuple of Load
        What is on in this operating state.
    converters : tuple of Converter
        What couples two voltages.
    reference : str or None
        Node counted as 0 V; None takes the first source's negative.  A part with
        no path to it (an isolated converter's output) is counted from the
        negative of its own first source.

    Raises
    ------
    BadInput
        If a name is used twice, a part joins a node to itself, or the reference
        is not a node.
    """

    branches: tuple[Branch, ...] = ()
    sources: tuple[Source, ...] = ()
    loads: tuple[Load, ...] = ()
    converters: tuple[Converter, ...] = ()
    reference: str | None = None

    def __post_init__(self) -> None:
        _refuse_repeats("branch", self.branches, lambda part: part.branch_id)
        _refuse_repeats("load", self.loads, lambda part: part.load_id)
        _refuse_repeats("source", self.sources, lambda part: part.source_id)
        _refuse_repeats("converter", self.converters, lambda part: part.converter_id)
        for branch in self.branches:
            _refuse_loop(branch.branch_id, branch.from_node, branch.to_node)
        for source in self.sources:
            _refuse_loop(source.source_id, source.positive, source.negative)
        for load in self.loads:
            _refuse_loop(load.load_id, load.positive, load.negative)
        for converter in self.converters:
            _refuse_loop(converter.converter_id, converter.in_positive, converter.in_negative)
            _refuse_loop(converter.converter_id, converter.out_positive, converter.out_negative)


def _refuse_repeats(kind: str, parts: tuple[_Part, ...], name_of: Callable[[_Part], str]) -> None:
    names = [name_of(part) for part in parts]
    if len(set(names)) != len(names):
        repeated = next(name for name in names if names.count(name) > 1)
        raise BadInput(f"Two parts of kind {kind} are named {repeated}.")


def _refuse_loop(name: str, one: str, other: str) -> None:
    if one == other:
        raise BadInput(f"{name}: both ends are at node {one}.")
