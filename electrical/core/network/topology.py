"""The shape of a network, worked out once and kept for every operating state.

Most of a vessel's wiring is a fuse, a cable out, a device and a cable back: one
path with nothing joining it on the way.  Such a path is folded into its load,
exactly, so that the equations to solve are left only for the points where
several things meet.  What is left is ordered by
:func:`electrical.core.network.ldl.analyse`.
"""

from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass

from electrical.core.errors import BadInput
from electrical.core.network.ldl import Pattern, analyse
from electrical.core.network.model import Network

__all__ = ["Draw", "Link", "Topology", "topology_of"]

_KEPT = 64
_cache: "OrderedDict[tuple[object, ...], Topology]" = OrderedDict()


@dataclass(frozen=True, slots=True)
class Link:
    """One branch or source between two points where things meet.

    Parameters
    ----------
    index : int
        Which branch or source.
    one, other : int
        Place of its ends in the order of elimination; -1 for the grounded point.
    entry : int
        Its off-diagonal entry; -1 when one end is grounded.
    """

    index: int
    one: int
    other: int
    entry: int


@dataclass(frozen=True, slots=True)
class Draw:
    """A load or converter input with the paths folded into it.

    Parameters
    ----------
    one, other, entry : int
        As in :class:`Link`, where its paths begin.
    out, back : tuple of int
        Branches from there to the positive terminal, and to the negative one.
    out_nodes, back_nodes : tuple of int
        Node at the far end of each of those branches.
    begins : tuple of int
        Nodes where the two paths begin.
    is_supplied : bool
        False when no source reaches it, or both ends are at one point.
    """

    one: int
    other: int
    entry: int
    out: tuple[int, ...]
    back: tuple[int, ...]
    out_nodes: tuple[int, ...]
    back_nodes: tuple[int, ...]
    begins: tuple[int, int]
    is_supplied: bool


@dataclass(frozen=True, slots=True)
class Topology:
    """The shape of one network.

    Parameters
    ----------
    nodes : tuple of str
        Node names.
    ends : tuple of (int, int)
        Nodes of each branch.
    points : tuple of (int, int)
        Node and place in the order of elimination of each point kept, -1 when
        grounded.
    links : tuple of Link
        Branches left between points.
    sources : tuple of Link
        Live sources, then live converter outputs, numbered on from the sources.
    draws : tuple of Draw
        Loads, then converter inputs.
    stubs : tuple of (int, int)
        Node at the end of a path that leads nowhere, and the node before it, in
        the order of pruning (the reverse of the order to fill in voltages).
    references : tuple of (int, tuple of int)
        For each galvanically separate part: node counted as 0 V, and its nodes.
    dead_nodes : tuple of int
        Nodes no source reaches.
    pattern : Pattern
        Order and fill of the equations.
    """

    nodes: tuple[str, ...]
    ends: tuple[tuple[int, int], ...]
    points: tuple[tuple[int, int], ...]
    links: tuple[Link, ...]
    sources: tuple[Link, ...]
    draws: tuple[Draw, ...]
    stubs: tuple[tuple[int, int], ...]
    references: tuple[tuple[int, tuple[int, ...]], ...]
    dead_nodes: tuple[int, ...]
    pattern: Pattern


def topology_of(network: Network, off: frozenset[int] = frozenset()) -> Topology:
    """Return the shape of a network, from the cache when it was met before.

    Parameters
    ----------
    network : Network
        The network; only names and connections matter here, no values.
    off : frozenset of int
        Converters that are off, by index.

    Returns
    -------
    Topology
        Its shape.
    """
    key: tuple[object, ...] = (
        off,
        network.reference,
        tuple([(b.from_node, b.to_node, b.is_closed) for b in network.branches]),
        tuple([(s.positive, s.negative) for s in network.sources]),
        tuple([(d.positive, d.negative) for d in network.loads]),
        tuple(
            [
                (c.in_positive, c.in_negative, c.out_positive, c.out_negative, c.is_on)
                for c in network.converters
            ]
        ),
    )
    found = _cache.get(key)
    if found is None:
        found = _Shaper(network, off).shape()
        _cache[key] = found
        if len(_cache) > _KEPT:
            _cache.popitem(last=False)
    return found


class _Shaper:
    """Folds one network; used once and thrown away."""

    def __init__(self, network: Network, off: frozenset[int]) -> None:
        self.number: dict[str, int] = {}
        number = self._number
        self.closed = [branch.is_closed for branch in network.branches]
        self.ends = [(number(b.from_node), number(b.to_node)) for b in network.branches]
        self.source_ends = [(number(s.positive), number(s.negative)) for s in network.sources]
        inputs = [(number(c.in_positive), number(c.in_negative)) for c in network.converters]
        outputs = [(number(c.out_positive), number(c.out_negative)) for c in network.converters]
        self.draw_ends = [(number(d.positive), number(d.negative)) for d in network.loads]
        self.first_input = len(self.draw_ends)
        self.draw_ends += inputs
        self.first_output = len(self.source_ends)
        self.source_ends += outputs
        is_on = [c.is_on and k not in off for k, c in enumerate(network.converters)]
        self.live_sources = [True] * self.first_output + is_on
        self.input_off = [True] * self.first_input + is_on
        self.reference = None
        if network.reference is not None:
            if network.reference not in self.number:
                raise BadInput(f"Reference: {network.reference} is not a node of the network.")
            self.reference = self.number[network.reference]
        self._find_supply(inputs)
        self._collect_items()

    def _number(self, node: str) -> int:
        return self.number.setdefault(node, len(self.number))

    def _find_supply(self, inputs: list[tuple[int, int]]) -> None:
        """Find what is joined, and switch off converters nothing feeds."""
        while True:
            self.group = self._groups()
            fed = {self.group[self.source_ends[k][0]] for k in range(self.first_output)}
            waiting = [k for k in range(len(inputs)) if self.live_sources[self.first_output + k]]
            grew = True
            while grew:
                grew = False
                for k in list(waiting):
                    positive, negative = (self.group[node] for node in inputs[k])
                    if positive == negative and positive in fed:
                        waiting.remove(k)
                        fed.add(self.group[self.source_ends[self.first_output + k][0]])
                        grew = True
            self.fed = fed
            if not waiting:
                return
            for k in waiting:
                self.live_sources[self.first_output + k] = False

    def _groups(self) -> list[int]:
        parent = list(range(len(self.number)))

        def root(node: int) -> int:
            while parent[node] != node:
                parent[node] = node = parent[parent[node]]
            return node

        for index, (one, other) in enumerate(self.ends):
            if self.closed[index]:
                parent[root(one)] = root(other)
        for index, (one, other) in enumerate(self.source_ends):
            if self.live_sources[index]:
                parent[root(one)] = root(other)
        return [root(node) for node in range(len(parent))]

    def _collect_items(self) -> None:
        """List what is connected at each node: branches, then sources, then draws."""
        self.items: list[set[int]] = [set() for _ in self.number]
        self.branch_count = len(self.ends)
        self.first_draw = self.branch_count + len(self.source_ends)
        for index, (one, other) in enumerate(self.ends):
            if self.closed[index] and self.group[one] in self.fed:
                self.items[one].add(index)
                self.items[other].add(index)
        for index, ends in enumerate(self.source_ends):
            if self.live_sources[index]:
                for node in ends:
                    self.items[node].add(self.branch_count + index)
        self.supplied = []
        for index, (one, other) in enumerate(self.draw_ends):
            is_live = self.group[one] == self.group[other] and self.group[one] in self.fed
            is_live = is_live and self.input_off[index]
            self.supplied.append(is_live)
            if is_live:
                self.items[one].add(self.first_draw + index)
                self.items[other].add(self.first_draw + index)

    def shape(self) -> Topology:
        stubs = self._prune()
        folded = [self._fold(index) for index in range(len(self.draw_ends))]
        points = self._points()
        links = [k for k in range(self.branch_count) if k in self.items[self.ends[k][0]]]
        live = [k for k, is_live in enumerate(self.live_sources) if is_live]
        pairs = [self.ends[k] for k in links] + [self.source_ends[k] for k in live]
        pairs += [fold[4] for fold, ok in zip(folded, self.supplied, strict=True) if ok]
        unknown = {node: place for place, node in enumerate(n for n, g in points if not g)}
        pattern = analyse(
            len(unknown),
            [(unknown[a], unknown[b]) for a, b in pairs if a in unknown and b in unknown],
        )
        place = {node: pattern.position[k] for node, k in unknown.items()}

        def link(index: int, ends: tuple[int, int]) -> Link:
            one, other = (place.get(node, -1) for node in ends)
            is_pair = one >= 0 and other >= 0 and one != other
            entry = pattern.entry(unknown[ends[0]], unknown[ends[1]]) if is_pair else -1
            return Link(index, one, other, entry)

        return Topology(
            nodes=tuple(self.number),
            ends=tuple(self.ends),
            points=tuple((node, place.get(node, -1)) for node, _ in points),
            links=tuple(link(k, self.ends[k]) for k in links),
            sources=tuple(link(k, self.source_ends[k]) for k in live),
            draws=tuple(
                _draw(link(k, fold[4]) if self.supplied[k] else Link(k, -1, -1, -1), fold)
                for k, fold in enumerate(folded)
            ),
            stubs=tuple(stubs),
            references=self._references(),
            dead_nodes=tuple(n for n, g in enumerate(self.group) if g not in self.fed),
            pattern=pattern,
        )

    def _prune(self) -> list[tuple[int, int]]:
        """Take off paths that lead nowhere: they carry nothing."""
        stubs = []
        queue = [node for node, items in enumerate(self.items) if len(items) == 1]
        while queue:
            node = queue.pop()
            items = self.items[node]
            if len(items) != 1 or next(iter(items)) >= self.branch_count:
                continue
            branch = items.pop()
            other = self._far(branch, node)
            self.items[other].discard(branch)
            stubs.append((node, other))
            if len(self.items[other]) == 1:
                queue.append(other)
        return stubs

    def _far(self, branch: int, node: int) -> int:
        one, other = self.ends[branch]
        return other if one == node else one

    def _fold(self, index: int) -> "_Fold":
        positive, negative = self.draw_ends[index]
        if not self.supplied[index]:
            return (), (), (), (), (positive, negative)
        out, out_nodes, positive = self._walk(index, positive, negative)
        back, back_nodes, negative = self._walk(index, negative, positive)
        if positive == negative:
            self.supplied[index] = False
            self.items[positive].discard(self.first_draw + index)
        return out, back, out_nodes, back_nodes, (positive, negative)

    def _walk(
        self, index: int, node: int, opposite: int
    ) -> tuple[tuple[int, ...], tuple[int, ...], int]:
        """Follow the path from a terminal until something else joins it."""
        item = self.first_draw + index
        branches: list[int] = []
        nodes: list[int] = []
        while node != opposite and len(self.items[node]) == 2:
            branch = min(self.items[node] - {item})
            if branch >= self.branch_count:
                break
            self.items[node].clear()
            branches.append(branch)
            nodes.append(node)
            node = self._far(branch, node)
            self.items[node].discard(branch)
            self.items[node].add(item)
        return tuple(reversed(branches)), tuple(reversed(nodes)), node

    def _points(self) -> list[tuple[int, bool]]:
        """Nodes kept, and for each separate part the busiest one grounded."""
        kept = [node for node, items in enumerate(self.items) if items]
        busiest: dict[int, int] = {}
        for node in kept:
            best = busiest.get(self.group[node])
            if best is None or len(self.items[node]) > len(self.items[best]):
                busiest[self.group[node]] = node
        return [(node, busiest[self.group[node]] == node) for node in kept]

    def _references(self) -> tuple[tuple[int, tuple[int, ...]], ...]:
        members: dict[int, list[int]] = {}
        for node, group in enumerate(self.group):
            if group in self.fed:
                members.setdefault(group, []).append(node)
        reference: dict[int, int] = {}
        if self.reference is not None:
            reference[self.group[self.reference]] = self.reference
        for index, (_, negative) in enumerate(self.source_ends):
            if self.live_sources[index]:
                reference.setdefault(self.group[negative], negative)
        return tuple((reference[group], tuple(nodes)) for group, nodes in members.items())


_Fold = tuple[tuple[int, ...], tuple[int, ...], tuple[int, ...], tuple[int, ...], tuple[int, int]]


def _draw(link: Link, fold: _Fold) -> Draw:
    out, back, out_nodes, back_nodes, begins = fold
    is_supplied = link.one >= 0 or link.other >= 0
    return Draw(
        link.one, link.other, link.entry, out, back, out_nodes, back_nodes, begins, is_supplied
    )


def clear_cache() -> None:
    """Forget every shape; for tests and benchmarks of the first solve."""
    _cache.clear()


def cached_shapes() -> Sequence[Topology]:
    """Return the shapes kept; for tests of the cache."""
    return tuple(_cache.values())
