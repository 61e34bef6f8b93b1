"""When no working point is found: how much could be carried, and what gives way.

The constant-power and constant-current loads are brought up together from none.
The largest part of them that still has a working point is found by halving; just
before it, the load whose voltage has fallen furthest and the branch that loses
most on its galvanic part name what gives way.
"""

from electrical.core.network.equations import Equations, Failure, Point, newton, no_load
from electrical.core.network.model import Network
from electrical.core.network.recover import node_voltages, recover
from electrical.core.network.shape import Topology
from electrical.core.network.solution import NoOperatingPoint, Reason, Solved

__all__ = ["find_collapse"]

_HALVINGS = 24


def find_collapse(
    network: Network, topology: Topology, off: frozenset[int]
) -> Solved | NoOperatingPoint:
    """Bring the loads up from none and tell where the network gives way.

    Parameters
    ----------
    network : Network
        What could not be solved from the no-load voltages.
    topology : Topology
        Its shape.
    off : frozenset of int
        Converters held off by their cut-off, by index.

    Returns
    -------
    Solved or NoOperatingPoint
        The working point, when bringing the loads up step by step reaches it after
        all; otherwise the verdict.
    """
    equations = Equations(network, topology, 0.0)
    start = no_load(equations)
    point = start if isinstance(start, Failure) else newton(equations, start.v)
    if isinstance(start, Failure) or isinstance(point, Failure):
        return _without_base(network)
    low, high, best = 0.0, 1.0, point
    attempt = Equations(network, topology, 1.0)
    failure = Failure()
    for _ in range(_HALVINGS):
        found = newton(attempt, best.v)
        if isinstance(found, Point):
            if attempt.fraction == 1.0:
                return recover(attempt, found, off)
            low, best, equations = attempt.fraction, found, attempt
        else:
            high, failure = attempt.fraction, max(failure, found, key=_evidence)
        attempt = Equations(network, topology, 0.5 * (low + high) if high - low > 1e-6 else high)
    return _verdict(equations, best, start, failure)


def _evidence(failure: Failure) -> int:
    """Rank a failure: a lost root or pivot proves a collapse, resting nowhere does not."""
    return int(failure != Failure())


def _without_base(network: Network) -> NoOperatingPoint:
    return NoOperatingPoint(
        network=network,
        reason=Reason.NO_SOURCE,
        message="Even without its loads the network has no working point: what is left of its "
        "sources is at its current limit.",
        load_fraction=0.0,
        load_id=None,
        branch_id=None,
        node_v={},
    )


def _verdict(equations: Equations, best: Point, start: Point, failure: Failure) -> NoOperatingPoint:
    network, topology = equations.network, equations.topology
    last_v, first_v = node_voltages(equations, best), node_voltages(equations, start)
    number = {name: node for node, name in enumerate(topology.nodes)}
    ends = [(load.load_id, load.positive, load.negative) for load in network.loads]
    ends += [(c.converter_id, c.in_positive, c.in_negative) for c in network.converters]
    lowest, name, positive = 2.0, None, None
    for draw, (load_id, one, other) in zip(topology.draws, ends, strict=True):
        if not draw.is_supplied:
            continue
        before_v = (first_v[number[one]] or 0.0) - (first_v[number[other]] or 0.0)
        after_v = (last_v[number[one]] or 0.0) - (last_v[number[other]] or 0.0)
        if before_v > 0.0 and after_v / before_v < lowest:
            lowest, name, positive = after_v / before_v, load_id, number[one]
    branch_id = None if positive is None else _worst_branch(equations, last_v, positive)
    return NoOperatingPoint(
        network=network,
        reason=Reason.NOT_CONVERGED if failure == Failure() else Reason.COLLAPSE,
        message=_sentence(name, branch_id, equations.fraction),
        load_fraction=equations.fraction,
        load_id=name,
        branch_id=branch_id,
        node_v={
            node: value
            for node, value in zip(topology.nodes, last_v, strict=True)
            if value is not None
        },
    )


def _worst_branch(equations: Equations, node_v: list[float | None], node: int) -> str | None:
    """Return the branch of the same galvanic part that loses most volts."""
    part = next(set(nodes) for _, nodes in equations.topology.references if node in nodes)
    worst_v, name = 0.0, None
    for branch, (one, other) in zip(
        equations.network.branches, equations.topology.ends, strict=True
    ):
        if branch.is_closed and one in part:
            drop_v = abs((node_v[one] or 0.0) - (node_v[other] or 0.0))
            if drop_v > worst_v:
                worst_v, name = drop_v, branch.branch_id
    return name


def _sentence(load_id: str | None, branch_id: str | None, fraction: float) -> str:
    subject = "The voltage" if load_id is None else f"The voltage at {load_id}"
    place = "" if branch_id is None else f"; {branch_id} loses most"
    return (
        f"{subject} collapses: at most {100.0 * fraction:.0f} % of the load can be carried{place}."
    )
