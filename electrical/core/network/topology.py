"""The shape of a network, worked out once and kept for every operating state.

Most of a vessel's wiring is a fuse, a cable out, a device and a cable back: one
path with nothing joining it on the way.  Such a path is folded into its load,
exactly, so that the equations to solve are left only for the points where
several things meet.  What is left is ordered by
:func:`electrical.core.network.ldl.analyse`.
"""

from collections import OrderedDict
from collections.abc import Sequence
from itertools import chain

from electrical.core.errors import BadInput
from electrical.core.network.ldl import analyse
from electrical.core.network.model import Network
from electrical.core.network.shape import Draw, Link, Topology

__all__ = ["topology_of"]

_KEPT = 12
_cache: "OrderedDict[tuple[object, ...], Topology]" = OrderedDict()


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


def _numbers(network: Network) -> dict[str, int]:
    """Number the nodes in the order in which they are met."""
    names = [name for b in network.branches for name in (b.from_node, b.to_node)]
    names += [name for s in network.sources for name in (s.positive, s.negative)]
    for c in network.converters:
        names += (c.in_positive, c.in_negative, c.out_positive, c.out_negative)
    names += [name for d in network.loads for name in (d.positive, d.negative)]
    return {name: node for node, name in enumerate(dict.fromkeys(names))}


class _Shaper:
    """Folds one network; used once and thrown away.

    What joins each node (branches, then sources, then draws, numbered through) is kept
    as how many they are and the exclusive or of their numbers: of two, the other one
    follows from either.
    """

    def __init__(self, network: Network, off: frozenset[int]) -> None:
        self.number = number = _numbers(network)
        self.closed = [branch.is_closed for branch in network.branches]
        self.ends = [(number[b.from_node], number[b.to_node]) for b in network.branches]
        self.source_ends = [(number[s.positive], number[s.negative]) for s in network.sources]
        inputs = [(number[c.in_positive], number[c.in_negative]) for c in network.converters]
        outputs = [(number[c.out_positive], number[c.out_negative]) for c in network.converters]
        self.draw_ends = [(number[d.positive], number[d.negative]) for d in network.loads]
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

        live = [
            ends for ends, lives in zip(self.source_ends, self.live_sources, strict=True) if lives
        ]
        closed = [ends for ends, is_closed in zip(self.ends, self.closed, strict=True) if is_closed]
        for one, other in chain(closed, live):
            top, there = parent[one], parent[other]
            if parent[top] != top:
                top = root(top)
            if parent[there] != there:
                there = root(there)
            parent[top] = there
        return [root(node) for node in range(len(parent))]

    def _collect_items(self) -> None:
        """Count what is connected at each node: branches, then sources, then draws."""
        self.branch_count = len(self.ends)
        self.first_draw = self.branch_count + len(self.source_ends)
        self.degree = [0] * len(self.number)
        self.joined = [0] * len(self.number)
        group, fed = self.group, self.fed
        self.is_used = [
            is_closed and group[ends[0]] in fed
            for is_closed, ends in zip(self.closed, self.ends, strict=True)
        ]
        self.supplied = [
            group[one] == group[other] and group[one] in fed and self.input_off[index]
            for index, (one, other) in enumerate(self.draw_ends)
        ]
        self._join(0, self.ends, self.is_used)
        self._join(self.branch_count, self.source_ends, self.live_sources)
        self._join(self.first_draw, self.draw_ends, self.supplied)

    def _join(self, first: int, pairs: list[tuple[int, int]], counts: list[bool]) -> None:
        degree, joined = self.degree, self.joined
        for item, ((one, other), does_count) in enumerate(zip(pairs, counts, strict=True), first):
            if does_count:
                degree[one] += 1
                degree[other] += 1
                joined[one] ^= item
                joined[other] ^= item

    def shape(self) -> Topology:
        stubs = self._prune()
        folded = [self._fold(index) for index in range(len(self.draw_ends))]
        points = self._points()
        links = [k for k, is_used in enumerate(self.is_used) if is_used]
        live = [k for k, is_live in enumerate(self.live_sources) if is_live]
        pairs = [self.ends[k] for k in links] + [self.source_ends[k] for k in live]
        pairs += [fold[4] for fold, ok in zip(folded, self.supplied, strict=True) if ok]
        unknown = {node: place for place, node in enumerate([n for n, g in points if not g])}
        pattern = analyse(
            len(unknown),
            [
                (unknown[a], unknown[b])
                for a, b in dict.fromkeys(pairs)
                if a in unknown and b in unknown
            ],
        )
        place = {node: pattern.position[k] for node, k in unknown.items()}

        def link(index: int, ends: tuple[int, int]) -> Link:
            one, other = place.get(ends[0], -1), place.get(ends[1], -1)
            entry = -1
            if one >= 0 and other >= 0 and one != other:
                entry = pattern.entry_at[(one, other) if one < other else (other, one)]
            return Link(index, one, other, entry)

        return Topology(
            nodes=tuple(self.number),
            number=self.number,
            ends=tuple(self.ends),
            points=tuple([(node, place.get(node, -1)) for node, _ in points]),
            links=tuple([link(k, self.ends[k]) for k in links]),
            sources=tuple([link(k, self.source_ends[k]) for k in live]),
            draws=tuple(
                [
                    _draw(link(k, fold[4]) if self.supplied[k] else Link(k, -1, -1, -1), fold)
                    for k, fold in enumerate(folded)
                ]
            ),
            stubs=tuple(stubs),
            references=self._references(),
            dead_nodes=tuple([n for n, g in enumerate(self.group) if g not in self.fed]),
            pattern=pattern,
        )

    def _prune(self) -> list[tuple[int, int]]:
        """Take off paths that lead nowhere: they carry nothing."""
        stubs = []
        degree, joined = self.degree, self.joined
        queue = [node for node, count in enumerate(degree) if count == 1]
        while queue:
            node = queue.pop()
            branch = joined[node]
            if degree[node] != 1 or branch >= self.branch_count:
                continue
            one, other = self.ends[branch]
            other = one if other == node else other
            self.is_used[branch] = False
            degree[node] = joined[node] = 0
            degree[other] -= 1
            joined[other] ^= branch
            stubs.append((node, other))
            if degree[other] == 1:
                queue.append(other)
        return stubs

    def _fold(self, index: int) -> "_Fold":
        positive, negative = self.draw_ends[index]
        if not self.supplied[index]:
            return (), (), (), (), (positive, negative)
        item = self.first_draw + index
        out, out_nodes, positive = self._walk(item, positive, negative)
        back, back_nodes, negative = self._walk(item, negative, positive)
        if positive == negative:
            self.supplied[index] = False
            self.degree[positive] -= 1
            self.joined[positive] ^= item
        return out, back, out_nodes, back_nodes, (positive, negative)

    def _walk(
        self, item: int, node: int, opposite: int
    ) -> tuple[tuple[int, ...], tuple[int, ...], int]:
        """Follow the path from a terminal until something else joins it."""
        degree, joined = self.degree, self.joined
        branches: list[int] = []
        nodes: list[int] = []
        while node != opposite and degree[node] == 2:
            branch = joined[node] ^ item
            if branch >= self.branch_count:
                break
            self.is_used[branch] = False
            degree[node] = joined[node] = 0
            branches.append(branch)
            nodes.append(node)
            one, other = self.ends[branch]
            node = one if other == node else other
            joined[node] ^= branch
            if node == opposite:
                degree[node] -= 1  # the draw is joined there already
            else:
                joined[node] ^= item
        branches.reverse()
        nodes.reverse()
        return tuple(branches), tuple(nodes), node

    def _points(self) -> list[tuple[int, bool]]:
        """Nodes kept, and for each separate part the busiest one grounded."""
        kept = [node for node, count in enumerate(self.degree) if count]
        busiest: dict[int, int] = {}
        for node in kept:
            best = busiest.get(self.group[node])
            if best is None or self.degree[node] > self.degree[best]:
                busiest[self.group[node]] = node
        return [(node, busiest[self.group[node]] == node) for node in kept]

    def _references(self) -> tuple[tuple[int, tuple[int, ...]], ...]:
        members: dict[int, list[int]] = {group: [] for group in self.fed}
        for node, group in enumerate(self.group):
            if group in members:
                members[group].append(node)
        reference: dict[int, int] = {}
        if self.reference is not None:
            reference[self.group[self.reference]] = self.reference
        for index, (_, negative) in enumerate(self.source_ends):
            if self.live_sources[index]:
                reference.setdefault(self.group[negative], negative)
        return tuple((reference[group], tuple(nodes)) for group, nodes in members.items() if nodes)


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
