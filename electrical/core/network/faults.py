"""Fault current at every node, from one factorisation.

A bolted short circuit between a node and where its current returns.  Loads feed
nothing into it; batteries do, through their own resistance.  What stops at a
regulator's limit (charger, alternator with regulator, converter output) adds no
more than that limit.  A battery-management limit is not a fault rating and is
not used.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from electrical.core.network.ldl import Factor, factorise, pattern_of, solve_in_place
from electrical.core.network.model import Network, Source
from electrical.core.network.recover import ConservationError

__all__ = ["ASSUMPTIONS", "FaultCurrent", "fault_currents"]

ASSUMPTIONS = (
    "Bolted short circuit: no resistance at the fault itself.",
    "Every battery gives its voltage behind its fault resistance, whatever its management limit.",
    "Chargers, regulators and converter outputs add at most their current limit.",
    "A converter or charger with no limit given counts as unlimited.",
    "Loads and spinning motors feed nothing in.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultCurrent:
    """Short-circuit current at one node.

    Parameters
    ----------
    node, return_node : str
        Where the short is, and where its current returns.
    current_a : float
        Current [A], an upper limit where several kinds of source feed it; 0 when
        no source reaches both nodes.
    open_v : float
        Voltage before the fault, without loads [V].
    loop_ohm : float or None
        Resistance of the loop [ohm]; None when no source reaches both nodes.
    """

    node: str
    return_node: str
    current_a: float
    open_v: float
    loop_ohm: float | None


def fault_currents(
    network: Network, pairs: Sequence[tuple[str, str]] | None = None
) -> Mapping[tuple[str, str], FaultCurrent]:
    """Compute the current of a bolted short circuit at each node.

    Parameters
    ----------
    network : Network
        The network; its loads are left out, its closed branches and sources count.
    pairs : Sequence of (str, str) or None
        Node and return node of each fault.  None takes every node against the
        reference of its part: the largest current, as when a positive conductor
        meets the common negative beside the battery.  For the smallest current
        (will the device clear?) give the load's own two nodes.

    Returns
    -------
    Mapping of (str, str) to FaultCurrent
        One entry per pair; see :data:`ASSUMPTIONS`.

    Notes
    -----
    ``I = U0 / R`` with ``U0`` the voltage without loads and
    ``R = Z_nn + Z_rr - 2 Z_nr`` from the inverse of the conductance matrix.  The
    columns ``Z_r`` take one solve each; with one common reference the diagonal
    comes from one backward pass over the factor (Takahashi's equations [1]_).
    With limited and unlimited sources both present the smaller of two upper limits
    is given: no source limited, and the unlimited ones alone plus every limit.

    References
    ----------
    .. [1] K. Takahashi, J. Fagan, M. Chen, "Formation of a sparse bus impedance
       matrix and its application to short circuit study", 8th PICA, 1973, from
       memory.

    Examples
    --------
    12.8 V behind 5 milliohm, shorted through 1 milliohm of cable out:

    >>> from electrical.core.network import Branch, Network, Source
    >>> net = Network(
    ...     sources=(Source(source_id="bank", positive="b+", negative="b-", emf_v=12.8,
    ...                     resistance_ohm=0.005),),
    ...     branches=(
    ...         Branch(branch_id="out", from_node="b+", to_node="bus", resistance_ohm=0.001),
    ...     ),
    ... )
    >>> round(fault_currents(net)["bus", "b-"].current_a, 1)
    2133.3
    """
    sources = _fault_sources(network)
    everything = _Grid(network, sources)
    wanted = everything.all_pairs() if pairs is None else list(pairs)
    found = everything.faults(wanted)
    limited = [source for source in sources if source.is_limited]
    if not limited:
        return found
    stiff = [source for source in sources if not source.is_limited]
    batteries = _Grid(network, stiff) if stiff else None
    bare = {} if batteries is None else batteries.faults(wanted)
    return {
        pair: replace(
            fault,
            current_a=min(
                fault.current_a,
                (bare[pair].current_a if pair in bare else 0.0)
                + everything.limit_a(fault.node, limited),
            ),
        )
        for pair, fault in found.items()
    }


def _fault_sources(network: Network) -> list[Source]:
    """Sources as they act in a short circuit; converter outputs among them."""
    sources = []
    for source in network.sources:
        is_held = source.is_limit_electronic and source.max_current_a is not None
        sources.append(
            replace(
                source,
                resistance_ohm=source.fault_resistance_ohm or source.resistance_ohm,
                max_current_a=source.max_current_a if is_held else None,
                min_current_a=None,
            )
        )
    sources += [
        Source(
            source_id=converter.converter_id,
            positive=converter.out_positive,
            negative=converter.out_negative,
            emf_v=converter.out_v,
            resistance_ohm=converter.out_resistance_ohm,
            max_current_a=converter.max_current_a,
        )
        for converter in network.converters
        if converter.is_on
    ]
    return sources


class _Grid:
    """Conductances of branches and sources, factorised once."""

    def __init__(self, network: Network, sources: list[Source]) -> None:
        self.sources = sources
        self.number: dict[str, int] = {}
        self.ties: list[tuple[int, int, float]] = []
        for branch in network.branches:
            one, other = self._node(branch.from_node), self._node(branch.to_node)
            if branch.is_closed:
                self.ties.append((one, other, 1.0 / branch.resistance_ohm))
        for source in sources:
            one, other = self._node(source.positive), self._node(source.negative)
            self.ties.append((one, other, 1.0 / source.resistance_ohm))
        self.group = self._groups()
        self.reference: dict[int, int] = {}
        if network.reference in self.number:
            node = self.number[network.reference]
            self.reference[self.group[node]] = node
        for source in sources:
            node = self.number[source.negative]
            self.reference.setdefault(self.group[node], node)
        self._factorise()
        self.open_v = self._open_voltages()
        self.columns: dict[int, list[float]] = {}

    def _node(self, name: str) -> int:
        return self.number.setdefault(name, len(self.number))

    def _groups(self) -> list[int]:
        parent = list(range(len(self.number)))

        def root(node: int) -> int:
            while parent[node] != node:
                parent[node] = node = parent[parent[node]]
            return node

        for one, other, _ in self.ties:
            parent[root(one)] = root(other)
        return [root(node) for node in range(len(parent))]

    def _factorise(self) -> None:
        grounded = set(self.reference.values())
        live = [
            node
            for node, group in enumerate(self.group)
            if group in self.reference and node not in grounded
        ]
        unknown = {node: k for k, node in enumerate(live)}
        pattern = pattern_of(
            len(live),
            tuple(
                [(unknown[a], unknown[b]) for a, b, _ in self.ties if a in unknown and b in unknown]
            ),
        )
        self.place = {node: pattern.position[k] for node, k in unknown.items()}
        diagonal, values = [0.0] * len(live), [0.0] * len(pattern.rows)
        for one, other, siemens in self.ties:
            for node in (one, other):
                if node in unknown:
                    diagonal[self.place[node]] += siemens
            if one in unknown and other in unknown:
                values[pattern.entry(unknown[one], unknown[other])] -= siemens
        factor = factorise(pattern, diagonal, values)
        if not isinstance(factor, Factor):
            raise ConservationError("Fault level: resistances differ too much to be solved.")
        self.factor = factor

    def _open_voltages(self) -> list[float]:
        rhs = [0.0] * self.factor.pattern.size
        for source in self.sources:
            current_a = source.emf_v / source.resistance_ohm
            for name, sign in ((source.positive, 1.0), (source.negative, -1.0)):
                place = self.place.get(self.number[name])
                if place is not None:
                    rhs[place] += sign * current_a
        return solve_in_place(self.factor, rhs)

    def _level(self, values: list[float], node: int) -> float:
        place = self.place.get(node)
        return 0.0 if place is None else values[place]

    def _column(self, node: int) -> list[float]:
        column = self.columns.get(node)
        if column is None:
            column = [0.0] * self.factor.pattern.size
            place = self.place.get(node)
            if place is not None:
                column[place] = 1.0
                solve_in_place(self.factor, column)
            self.columns[node] = column
        return column

    def all_pairs(self) -> list[tuple[str, str]]:
        """Every live node against the reference of its part."""
        names = list(self.number)
        return [
            (name, names[self.reference[group]])
            for name, group in zip(names, self.group, strict=True)
            if group in self.reference and self.reference[group] != self.number[name]
        ]

    def faults(self, pairs: list[tuple[str, str]]) -> dict[tuple[str, str], FaultCurrent]:
        """Short-circuit current for each pair."""
        diagonal = _inverse_diagonal(self.factor)
        found = {}
        for name, return_name in pairs:
            node, back = self.number.get(name), self.number.get(return_name)
            found[name, return_name] = FaultCurrent(
                node=name, return_node=return_name, current_a=0.0, open_v=0.0, loop_ohm=None
            )
            if node is None or back is None or node == back:
                continue
            if self.group[node] != self.group[back] or self.group[node] not in self.reference:
                continue
            open_v = self._level(self.open_v, node) - self._level(self.open_v, back)
            loop_ohm = self._level(diagonal, node)
            if back in self.place:
                between = self._level(self._column(back), node)
                loop_ohm += self._level(diagonal, back) - 2.0 * between
            found[name, return_name] = FaultCurrent(
                node=name,
                return_node=return_name,
                current_a=max(open_v, 0.0) / loop_ohm if loop_ohm > 0.0 else 0.0,
                open_v=open_v,
                loop_ohm=loop_ohm,
            )
        return found

    def limit_a(self, node: str, limited: list[Source]) -> float:
        """Sum of the current limits of the sources that can reach a node [A]."""
        group = self.group[self.number[node]] if node in self.number else None
        return sum(
            source.max_current_a or 0.0
            for source in limited
            if self.group[self.number[source.positive]] == group
        )


def _inverse_diagonal(factor: Factor) -> list[float]:
    """Diagonal of the inverse, over the pattern of the factor only."""
    pattern = factor.pattern
    starts, rows, values = pattern.starts, pattern.rows, factor.values
    diagonal = [0.0] * pattern.size
    inverse: dict[tuple[int, int], float] = {}
    for column in range(pattern.size - 1, -1, -1):
        below = [(rows[k], values[k]) for k in range(starts[column], starts[column + 1])]
        for row, _ in below:
            total = 0.0
            for other, scaled in below:
                if other == row:
                    total += scaled * diagonal[row]
                else:
                    pair = (row, other) if row < other else (other, row)
                    total += scaled * inverse[pair]
            inverse[column, row] = -total
        total = sum([scaled * inverse[column, row] for row, scaled in below])
        diagonal[column] = 1.0 / factor.pivots[column] - total
    return diagonal
