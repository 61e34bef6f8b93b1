"""What the shape of a network is: what is left of it once every single path is folded.

Indices only; the numbers come with each operating state.
"""

from dataclasses import dataclass

from electrical.core.network.ldl import Pattern

__all__ = ["Draw", "Link", "Topology"]


@dataclass(slots=True)
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


@dataclass(slots=True)
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
    number : dict of str to int
        Place of each node name in `nodes`.
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
    number: dict[str, int]
    ends: tuple[tuple[int, int], ...]
    points: tuple[tuple[int, int], ...]
    links: tuple[Link, ...]
    sources: tuple[Link, ...]
    draws: tuple[Draw, ...]
    stubs: tuple[tuple[int, int], ...]
    references: tuple[tuple[int, tuple[int, ...]], ...]
    dead_nodes: tuple[int, ...]
    pattern: Pattern
