"""The equations of one network on one shape, and their solution by Newton steps.

Unknown are the voltages of the points where things meet.  Each step solves

    (G + sum dI/dU) dv = what does not balance at v

with ``U`` the voltage across each load as seen from the ends of its own paths.
A load of ``P`` watts, ``I0`` amps and ``1/Gz`` ohms behind a path of ``R`` ohms
draws ``I = P/V + I0 + Gz V`` where ``V`` is the larger root of

    (1 + R Gz) V^2 - (U - R I0) V + R P = 0

The larger root is the working point; the smaller one lies past the collapse.
With no real root above zero the load cannot be carried at that ``U``.
"""

from dataclasses import dataclass
from math import sqrt
from operator import add, sub

from electrical.core.network.ldl import factorise, solve_in_place
from electrical.core.network.model import Network
from electrical.core.network.shape import Link, Topology

__all__ = ["Equations", "Failure", "Point", "newton", "no_load"]

_TOLERANCE_V = 1e-10
_ROUNDING_V = 1e-7
"""Changes under this that no longer shrink are rounding; conservation is checked later."""

_MAX_STEPS = 60
_MAX_HALVINGS = 24
_HELD_SLOPE = 1e-6
"""Slope left to a source at its limit: keeps a part it alone feeds from floating.

It steers the steps only; the current at rest is the limit."""

_Row = tuple[int, float, float, float, float, float, float, float]
"""Draw index, path R, R I0, (1 + R Gz) halved inverse, 4 R P (1 + R Gz), P, I0, Gz."""


@dataclass(slots=True)
class _Port:
    """Loads that see the same two points."""

    one: int
    other: int
    entry: int
    rows: list[_Row]


@dataclass(slots=True)
class _Limited:
    """A source with a limit on its current."""

    link: Link
    emf_v: float
    siemens: float
    low_a: float
    high_a: float


@dataclass(frozen=True, slots=True)
class Point:
    """A solution.

    Parameters
    ----------
    v : list of float
        Voltages in the order of elimination [V].
    steps : int
        Newton steps it took.
    """

    v: list[float]
    steps: int


@dataclass(frozen=True, slots=True)
class Failure:
    """No solution found.

    Parameters
    ----------
    draw : int or None
        The draw that has no root, if that was it.
    unknown : int or None
        The unknown, in the order of elimination, without a pivot, if that was it.
    """

    draw: int | None = None
    unknown: int | None = None


class Equations:
    """Numbers of one network on its shape.

    Parameters
    ----------
    network : Network
        The network.
    topology : Topology
        Its shape.
    fraction : float
        Part of every constant-power and constant-current load that is applied [-].
    """

    def __init__(self, network: Network, topology: Topology, fraction: float = 1.0) -> None:
        self.network = network
        self.topology = topology
        self.fraction = fraction
        self.ohm = [branch.resistance_ohm for branch in network.branches]
        self.path_ohm = [
            sum([self.ohm[k] for k in draw.out]) + sum([self.ohm[k] for k in draw.back])
            for draw in topology.draws
        ]
        size = topology.pattern.size
        self.diagonal = [0.0] * size
        self.values = [0.0] * len(topology.pattern.rows)
        self.size = size
        self.wires: list[tuple[int, int, float]] = []
        self.stiff: list[tuple[Link, float, float]] = []
        self.limited: list[_Limited] = []
        self.ports: dict[tuple[int, int], _Port] = {}
        for link in topology.links:
            siemens = 1.0 / self.ohm[link.index]
            self._conduct(link.one, link.other, link.entry, siemens)
            self.wires.append((link.one, link.other, siemens))
        for link in topology.sources:
            self._add_source(link)
        self._add_loads()
        self.inputs = self._inputs()

    def _conduct(self, one: int, other: int, entry: int, siemens: float) -> None:
        if one >= 0:
            self.diagonal[one] += siemens
        if other >= 0:
            self.diagonal[other] += siemens
        if entry >= 0:
            self.values[entry] -= siemens

    def source_data(self, index: int) -> tuple[float, float, float, float]:
        """Return EMF [V], resistance [ohm] and current limits [A] of a live source."""
        count = len(self.network.sources)
        infinite = float("inf")
        if index < count:
            source = self.network.sources[index]
            low = -infinite if source.min_current_a is None else source.min_current_a
            high = infinite if source.max_current_a is None else source.max_current_a
            return source.emf_v, source.resistance_ohm, low, high
        converter = self.network.converters[index - count]
        high = infinite if converter.max_current_a is None else converter.max_current_a
        return converter.out_v, converter.out_resistance_ohm, 0.0, high

    def _add_source(self, link: Link) -> None:
        emf_v, ohm, low_a, high_a = self.source_data(link.index)
        siemens = 1.0 / ohm
        if low_a == -float("inf") and high_a == float("inf"):
            self._conduct(link.one, link.other, link.entry, siemens)
            self.stiff.append((link, emf_v, siemens))
        else:
            self.limited.append(_Limited(link, emf_v, siemens, low_a, high_a))

    def _add_loads(self) -> None:
        draws, fraction, path_ohm = self.topology.draws, self.fraction, self.path_ohm
        for index, load in enumerate(self.network.loads):
            draw = draws[index]
            if not draw.is_supplied:
                continue
            siemens = 0.0 if load.resistance_ohm is None else 1.0 / load.resistance_ohm
            power_w, current_a = load.power_w * fraction, load.current_a * fraction
            if power_w or current_a:
                row = _row(index, path_ohm[index], power_w, current_a, siemens)
                self._port(draw.one, draw.other, draw.entry).rows.append(row)
            elif siemens:
                folded = siemens / (1.0 + path_ohm[index] * siemens)
                self._conduct(draw.one, draw.other, draw.entry, folded)
                self.wires.append((draw.one, draw.other, folded))

    def _port(self, one: int, other: int, entry: int) -> _Port:
        port = self.ports.get((one, other))
        if port is None:
            port = self.ports[one, other] = _Port(one, other, entry, [])
        return port

    def _inputs(self) -> list[tuple[int, Link]]:
        """Live converters: index, and output link."""
        count = len(self.network.sources)
        return [(link.index - count, link) for link in self.topology.sources if link.index >= count]

    def source_current_a(self, link: Link, v: list[float]) -> float:
        """Return the current a live source gives [A]."""
        emf_v, ohm, low_a, high_a = self.source_data(link.index)
        return min(max((emf_v - _across(link, v)) / ohm, low_a), high_a)

    def converter_power_w(self, index: int, link: Link, v: list[float]) -> float:
        """Return the input power of a converter [W] at the present output."""
        out_w = _across(link, v) * self.source_current_a(link, v)
        return self.network.converters[index].in_power_w(out_w)

    def input_rows(self, v: list[float]) -> list[_Port]:
        """Return converter inputs as loads of the power their outputs give now."""
        first = len(self.network.loads)
        ports = []
        for index, link in self.inputs:
            draw = self.topology.draws[first + index]
            power_w = self.converter_power_w(index, link, v)
            if power_w > 0.0:
                row = _row(first + index, self.path_ohm[first + index], power_w, 0.0, 0.0)
                ports.append(_Port(draw.one, draw.other, draw.entry, [row]))
        return ports


def _row(index: int, path_ohm: float, power_w: float, current_a: float, siemens: float) -> _Row:
    stiff = 1.0 + path_ohm * siemens
    return (
        index,
        path_ohm,
        path_ohm * current_a,
        0.5 / stiff,
        4.0 * path_ohm * power_w * stiff,
        power_w,
        current_a,
        siemens,
    )


def _port_current(rows: list[_Row], across_v: float) -> tuple[float, float] | int:
    """Return current and its slope for loads at one port, or the draw with no root."""
    total_a = slope = 0.0
    for index, _, offset_v, half, four, power_w, current_a, siemens in rows:
        w = across_v - offset_v
        square = w * w - four
        if w <= 0.0 or square <= 0.0:
            return index
        root = sqrt(square)
        v = (w + root) * half
        drawn_a = power_w / v
        total_a += drawn_a + current_a + siemens * v
        slope += (siemens - drawn_a / v) * (1.0 + w / root) * half
    return total_a, slope


def load_voltage_v(
    path_ohm: float, power_w: float, current_a: float, siemens: float, across_v: float
) -> float:
    """Return the voltage at a load behind its path.

    Parameters
    ----------
    path_ohm : float
        Resistance of its path, out and back [ohm].
    power_w : float
        Constant-power part [W].
    current_a : float
        Constant-current part [A].
    siemens : float
        Conductance of its resistive part [S].
    across_v : float
        Voltage at the beginning of the path [V].

    Returns
    -------
    float
        Voltage [V].

    Notes
    -----
    The larger root of the module's quadratic.
    """
    stiff = 1.0 + path_ohm * siemens
    w = across_v - path_ohm * current_a
    if not power_w:
        return w / stiff
    return (w + sqrt(max(w * w - 4.0 * path_ohm * power_w * stiff, 0.0))) * 0.5 / stiff


def no_load(equations: Equations) -> Point | Failure:
    """Solve with resistive loads only and no source at its limit."""
    return _step(equations, [0.0] * equations.size, is_loaded=False)


def newton(equations: Equations, start: list[float]) -> Point | Failure:
    """Take Newton steps until the voltages rest.

    Parameters
    ----------
    equations : Equations
        What to solve.
    start : list of float
        Voltages to start from, in the order of elimination [V].

    Returns
    -------
    Point or Failure
        The solution, on which the matrix is positive definite, or where it failed.

    Notes
    -----
    A step that loses a root or a pivot is halved towards the point before it.
    """
    before: list[float] | None = None
    v, halvings, last_v = start, 0, float("inf")
    for step in range(1, _MAX_STEPS + 1):
        found = _step(equations, v)
        if isinstance(found, Failure):
            if before is None or halvings == _MAX_HALVINGS:
                return found
            v, halvings = [0.5 * (a + b) for a, b in zip(before, v, strict=True)], halvings + 1
            continue
        change_v = max(map(abs, map(sub, found.v, v)), default=0.0)
        if change_v < _TOLERANCE_V or last_v * 0.5 < change_v < _ROUNDING_V:
            return Point(found.v, step)
        before, v, halvings, last_v = v, found.v, 0, change_v
    return Failure()


def _all_ports(equations: Equations, v: list[float]) -> list[_Port]:
    ports = list(equations.ports.values())
    return ports + equations.input_rows(v) if equations.inputs else ports


def _across(port: "Link | _Port", v: list[float]) -> float:
    return (v[port.one] if port.one >= 0 else 0.0) - (v[port.other] if port.other >= 0 else 0.0)


def _step(equations: Equations, v: list[float], *, is_loaded: bool = True) -> Point | Failure:
    """Take one Newton step from `v`.

    What does not balance at each point is summed from differences of voltage, where
    nothing cancels, so that steps also wear down the rounding of the solve itself.
    """
    system = _System(equations, v)
    system.add_limited(equations, v, is_loaded=is_loaded)
    if is_loaded:
        lost = system.add_ports(_all_ports(equations, v), v)
        if lost is not None:
            return Failure(draw=lost)
    factor = factorise(equations.topology.pattern, system.diagonal, system.values)
    if isinstance(factor, int):
        return Failure(unknown=factor)
    return Point(list(map(add, v, solve_in_place(factor, system.surplus_a))), 1)


class _System:
    """Matrix of one step, and the current that does not balance at each point."""

    def __init__(self, equations: Equations, v: list[float]) -> None:
        self.diagonal = equations.diagonal[:]
        self.values = equations.values[:]
        self.surplus_a = surplus_a = [0.0] * equations.size
        level = [*v, 0.0]  # the grounded point is number -1
        surplus_a.append(0.0)
        for one, other, siemens in equations.wires:
            current_a = (level[one] - level[other]) * siemens
            surplus_a[one] -= current_a
            surplus_a[other] += current_a
        for link, emf_v, siemens in equations.stiff:
            current_a = (emf_v - (level[link.one] - level[link.other])) * siemens
            surplus_a[link.one] += current_a
            surplus_a[link.other] -= current_a
        surplus_a.pop()

    def add(self, part: "Link | _Port", siemens: float, current_a: float) -> None:
        """Let a current flow into `one` and out of `other`, less with rising voltage."""
        one, other = part.one, part.other
        if one >= 0:
            self.diagonal[one] += siemens
            self.surplus_a[one] += current_a
        if other >= 0:
            self.diagonal[other] += siemens
            self.surplus_a[other] -= current_a
        if part.entry >= 0:
            self.values[part.entry] -= siemens

    def add_limited(self, equations: Equations, v: list[float], *, is_loaded: bool) -> None:
        for source in equations.limited:
            siemens = source.siemens
            wanted_a = (source.emf_v - _across(source.link, v)) * siemens
            held_a = min(max(wanted_a, source.low_a), source.high_a)
            if is_loaded and abs(wanted_a - held_a) > 1e-9 + 1e-12 * source.emf_v * siemens:
                self.add(source.link, siemens * _HELD_SLOPE, held_a)
            else:
                self.add(source.link, siemens, wanted_a)

    def add_ports(self, ports: list[_Port], v: list[float]) -> int | None:
        """Add loads at their slope; return a draw that has no working point, if any."""
        for port in ports:
            drawn = _port_current(port.rows, _across(port, v))
            if isinstance(drawn, int):
                return drawn
            total_a, slope = drawn
            self.add(port, slope, -total_a)
        return None
