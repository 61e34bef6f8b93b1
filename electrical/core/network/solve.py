"""Solve a network: voltages and currents everywhere, or the part that collapses."""

from electrical.core.network.collapse import find_collapse
from electrical.core.network.equations import Equations, Failure, Point, newton, no_load
from electrical.core.network.model import Network
from electrical.core.network.recover import recover
from electrical.core.network.solution import NoOperatingPoint, Solved
from electrical.core.network.topology import topology_of

__all__ = ["solve"]


def solve(network: Network) -> Solved | NoOperatingPoint:
    """Find the working point of a network.

    Parameters
    ----------
    network : Network
        One operating state of the vessel.

    Returns
    -------
    Solved or NoOperatingPoint
        Either every voltage and current, with the conservation of current and
        power checked, or the verdict that no working point exists, naming the
        part that gives way.  Never an answer that does not satisfy the equations.

    Raises
    ------
    BadInput
        If the reference is not a node of the network.
    ConservationError
        If currents or powers of a found solution do not add up; a fault of the
        program or of wildly different resistances, never returned as an answer.

    Notes
    -----
    Newton steps from the no-load voltages, on a sparse symmetric factorisation
    whose order is kept for the next solve of the same shape.  A working point is
    accepted only when the matrix is positive definite there, which sets apart the
    normal point from the one past the collapse.  A converter whose input falls
    under its cut-off is taken off and stays off; of several, the one furthest under
    it goes first.

    Examples
    --------
    A 60 W load at the end of 0.05 ohm out and back on a 12 V battery of 0.01 ohm:
    the larger root of ``V**2 - 12 V + 0.11 * 60 = 0``.

    >>> from electrical.core.network import Branch, Load, Network, Source
    >>> net = Network(
    ...     sources=(Source(source_id="bank", positive="b+", negative="b-", emf_v=12.0,
    ...                     resistance_ohm=0.01),),
    ...     branches=(
    ...         Branch(branch_id="out", from_node="b+", to_node="d+", resistance_ohm=0.05),
    ...         Branch(branch_id="back", from_node="d-", to_node="b-", resistance_ohm=0.05),
    ...     ),
    ...     loads=(Load(load_id="lamp", positive="d+", negative="d-", power_w=60.0),),
    ... )
    >>> round(solve(net).across_v("d+", "d-"), 4)
    11.4222
    """
    off: frozenset[int] = frozenset()
    while True:
        outcome = _solve_with(network, off)
        starved = _most_starved(network, outcome, off)
        if starved is None:
            return outcome
        off |= {starved}


def _solve_with(network: Network, off: frozenset[int]) -> Solved | NoOperatingPoint:
    topology = topology_of(network, off)
    equations = Equations(network, topology)
    start = no_load(equations)
    found: Point | Failure = start
    if isinstance(start, Point):
        found = newton(equations, start.v)
    if isinstance(found, Point):
        return recover(equations, found, off)
    return find_collapse(network, topology, off)


def _most_starved(
    network: Network, outcome: Solved | NoOperatingPoint, off: frozenset[int]
) -> int | None:
    """The converter furthest under its cut-off; taking it off may save the others."""
    node_v = outcome.node_v
    lowest, starved = 1.0, None
    for index, converter in enumerate(network.converters):
        if not converter.cutoff_v or not converter.is_on or index in off:
            continue
        if converter.in_positive not in node_v or converter.in_negative not in node_v:
            continue
        in_v = node_v[converter.in_positive] - node_v[converter.in_negative]
        if in_v < lowest * converter.cutoff_v:
            lowest, starved = in_v / converter.cutoff_v, index
    return starved
