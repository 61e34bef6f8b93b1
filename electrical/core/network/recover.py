"""From the points that were solved back to every node, with conservation checked."""

from electrical.core.errors import CoreError
from electrical.core.network.equations import Equations, Point, load_voltage_v
from electrical.core.network.shape import Draw, Topology
from electrical.core.network.solution import Solved

__all__ = ["ConservationError", "node_voltages", "recover"]

_TOLERANCE = 1e-7


class ConservationError(CoreError):
    """Currents or powers of a solution do not add up; the solution is withheld."""


def node_voltages(equations: Equations, point: Point) -> list[float | None]:
    """Return the voltage of every node, from the reference of its part.

    Parameters
    ----------
    equations : Equations
        What was solved.
    point : Point
        Its solution.

    Returns
    -------
    list of (float or None)
        Voltage [V] by node number; None where no source reaches.
    """
    topology = equations.topology
    node_v: list[float | None] = [None] * len(topology.nodes)
    for node, place in topology.points:
        node_v[node] = point.v[place] if place >= 0 else 0.0
    loads, fraction = equations.network.loads, equations.fraction
    power_w = dict(_input_powers(equations, point))
    draws = topology.draws
    for index in range(len(draws) - 1, -1, -1):
        draw = draws[index]
        if not draw.out and not draw.back:
            continue
        law = (power_w.get(index, 0.0), 0.0, 0.0)
        if index < len(loads):
            load = loads[index]
            siemens = 0.0 if load.resistance_ohm is None else 1.0 / load.resistance_ohm
            law = (load.power_w * fraction, load.current_a * fraction, siemens)
        _walk_out(equations, index, draw, node_v, law)
    for node, before in reversed(topology.stubs):
        node_v[node] = node_v[before]
    _shift(topology, node_v)
    return node_v


def _input_powers(equations: Equations, point: Point) -> list[tuple[int, float]]:
    first = len(equations.network.loads)
    return [
        (first + index, equations.converter_power_w(index, link, point.v))
        for index, link in equations.inputs
    ]


def _walk_out(
    equations: Equations,
    index: int,
    draw: Draw,
    node_v: list[float | None],
    law: tuple[float, float, float],
) -> None:
    """Fill in the voltages along the paths folded into one draw."""
    begin, end = draw.begins
    out_v, back_v = node_v[begin] or 0.0, node_v[end] or 0.0
    current_a = 0.0
    if draw.is_supplied:
        path_ohm = equations.path_ohm[index]
        voltage_v = load_voltage_v(path_ohm, *law, out_v - back_v)
        power_w, constant_a, siemens = law
        current_a = constant_a + siemens * voltage_v
        if power_w:
            current_a += power_w / voltage_v
    ohm = equations.ohm
    for branch, node in zip(draw.out, draw.out_nodes, strict=True):
        out_v -= current_a * ohm[branch]
        node_v[node] = out_v
    for branch, node in zip(draw.back, draw.back_nodes, strict=True):
        back_v += current_a * ohm[branch]
        node_v[node] = back_v


def _shift(topology: Topology, node_v: list[float | None]) -> None:
    """Count each part's voltages from its own reference."""
    for reference, members in topology.references:
        zero_v = node_v[reference]
        if zero_v:
            for node in members:
                value_v = node_v[node]
                if value_v is not None:
                    node_v[node] = value_v - zero_v


def recover(equations: Equations, point: Point, off: frozenset[int]) -> Solved:
    """Work out every voltage and current, and check that they add up.

    Parameters
    ----------
    equations : Equations
        What was solved.
    point : Point
        Its solution.
    off : frozenset of int
        Converters held off by their cut-off, by index.

    Returns
    -------
    Solved
        The answer.

    Raises
    ------
    ConservationError
        If a node's currents do not add up to none, or power given is not power
        taken plus heat, within 1e-7 of the currents and powers there are.

    Notes
    -----
    Currents are computed from the node voltages by each part's own law, not taken
    from the equations that were solved, so that the check is a real one.
    """
    network, topology = equations.network, equations.topology
    node_v = node_voltages(equations, point)
    level = [value or 0.0 for value in node_v]
    into_a = [0.0] * len(level)
    branch_a: dict[str, float] = {}
    lost_w = 0.0
    for branch, (one, other) in zip(network.branches, topology.ends, strict=True):
        drop_v = level[one] - level[other]
        current_a = drop_v / branch.resistance_ohm if branch.is_closed else 0.0
        branch_a[branch.branch_id] = current_a
        into_a[one] -= current_a
        into_a[other] += current_a
        lost_w += current_a * drop_v
    source_a, out_a, given_w = _source_currents(equations, node_v, into_a)
    load_a, in_a, taken_w = _draw_currents(equations, point, level, into_a)
    residual_a = max(map(abs, into_a), default=0.0)
    largest_a = max(
        map(abs, (*branch_a.values(), *source_a.values(), *out_a.values())), default=0.0
    )
    power_residual_w = given_w - taken_w - lost_w
    _require_small("Current", residual_a, largest_a, "A")
    _require_small("Power", power_residual_w, abs(given_w) + taken_w + lost_w, "W")
    draws = topology.draws
    return Solved(
        network=network,
        node_v={
            name: value
            for name, value in zip(topology.nodes, node_v, strict=True)
            if value is not None
        },
        branch_a=branch_a,
        load_a=load_a,
        source_a=source_a,
        converter_in_a=in_a,
        converter_out_a=out_a,
        unsupplied_nodes=tuple([topology.nodes[node] for node in topology.dead_nodes]),
        unsupplied_loads=tuple(
            [load.load_id for k, load in enumerate(network.loads) if not draws[k].is_supplied]
        ),
        cut_off_converters=tuple([network.converters[k].converter_id for k in sorted(off)]),
        residual_a=residual_a,
        power_residual_w=power_residual_w,
        steps=point.steps,
    )


def _require_small(what: str, residual: float, scale: float, unit: str) -> None:
    if not abs(residual) <= _TOLERANCE * (1.0 + scale):
        raise ConservationError(
            f"{what} does not add up: {residual:.3g} {unit} left over of {scale:.3g} {unit}."
        )


def _source_currents(
    equations: Equations, node_v: list[float | None], into_a: list[float]
) -> tuple[dict[str, float], dict[str, float], float]:
    network, topology = equations.network, equations.topology
    count = len(network.sources)
    number = topology.number
    source_a = {source.source_id: 0.0 for source in network.sources}
    out_a: dict[str, float] = {}
    given_w = 0.0
    for link in topology.sources:
        emf_v, ohm, low_a, high_a = equations.source_data(link.index)
        if link.index < count:
            source = network.sources[link.index]
            positive, negative = number[source.positive], number[source.negative]
        else:
            converter = network.converters[link.index - count]
            positive, negative = number[converter.out_positive], number[converter.out_negative]
        across_v = (node_v[positive] or 0.0) - (node_v[negative] or 0.0)
        current_a = min(max((emf_v - across_v) / ohm, low_a), high_a)
        if link.index < count:
            source_a[source.source_id] = current_a
        else:
            out_a[converter.converter_id] = current_a
        into_a[positive] += current_a
        into_a[negative] -= current_a
        given_w += across_v * current_a
    return source_a, out_a, given_w


def _draw_currents(
    equations: Equations, point: Point, level: list[float], into_a: list[float]
) -> tuple[dict[str, float], dict[str, float], float]:
    network, topology = equations.network, equations.topology
    number = topology.number
    load_a: dict[str, float] = {}
    taken_w = 0.0
    for load, draw in zip(network.loads, topology.draws, strict=False):
        current_a = 0.0
        if draw.is_supplied:
            positive, negative = number[load.positive], number[load.negative]
            across_v = level[positive] - level[negative]
            current_a = load.current_at_a(across_v)
            into_a[positive] -= current_a
            into_a[negative] += current_a
            taken_w += across_v * current_a
        load_a[load.load_id] = current_a
    in_a: dict[str, float] = {}
    for index, power_w in _input_powers(equations, point):
        converter = network.converters[index - len(network.loads)]
        positive, negative = number[converter.in_positive], number[converter.in_negative]
        across_v = level[positive] - level[negative]
        current_a = power_w / across_v if power_w else 0.0
        in_a[converter.converter_id] = current_a
        into_a[positive] -= current_a
        into_a[negative] += current_a
        taken_w += power_w
    return load_a, in_a, taken_w
