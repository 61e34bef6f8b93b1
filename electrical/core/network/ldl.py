"""Sparse symmetric factorisation ``A = L D L^T`` with a minimum-degree order.

The pattern of non-zeros of a vessel's network changes only when something is
added, removed or switched; the numbers change with every operating state.  So
the work is split: :func:`analyse` orders the unknowns and finds where fill
appears (once per pattern), :func:`factorise` only computes numbers.

A positive definite matrix gives positive pivots and needs no row exchange.  A
pivot at or below zero is a result, not an accident: on a network with
constant-power loads it marks voltage collapse.

References
----------
.. [1] T. A. Davis, "Direct Methods for Sparse Linear Systems", SIAM, 2006,
   chapters 4 and 7 (factorisation, minimum degree), from memory.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from heapq import heapify, heappop, heappush

__all__ = ["Factor", "Pattern", "analyse", "factorise", "pattern_of", "solve_in_place"]


@dataclass(frozen=True, slots=True)
class Pattern:
    """Order of elimination and pattern of ``L``.

    Parameters
    ----------
    size : int
        Number of unknowns.
    position : tuple of int
        Place of each unknown in the order of elimination.
    starts : tuple of int
        Start of each column of ``L`` in `rows`; one more than `size` entries.
    rows : tuple of int
        Row of each off-diagonal entry, ascending in each column.
    updates : tuple of tuple of int
        For each column, the entries its elimination changes, row by row.
    entry_at : dict of (int, int) to int
        Entry of ``L`` for each pair of unknowns ``(column, row)``, in the order
        of elimination.
    """

    size: int
    position: tuple[int, ...]
    starts: tuple[int, ...]
    rows: tuple[int, ...]
    updates: tuple[tuple[int, ...], ...]
    entry_at: dict[tuple[int, int], int]

    def entry(self, one: int, other: int) -> int:
        """Return the place in `values` of the pair of unknowns.

        Parameters
        ----------
        one, other : int
            Two different unknowns that were given to :func:`analyse` as a pair.

        Returns
        -------
        int
            Index of their off-diagonal entry.
        """
        here, there = self.position[one], self.position[other]
        return self.entry_at[(here, there) if here < there else (there, here)]


@dataclass(frozen=True, slots=True)
class Factor:
    """Numbers of ``L`` and ``D`` for one pattern.

    Parameters
    ----------
    pattern : Pattern
        The pattern the numbers belong to.
    pivots : list of float
        Diagonal of ``D`` [S], all above zero.
    values : list of float
        Off-diagonal entries of ``L`` [-].
    """

    pattern: Pattern
    pivots: list[float]
    values: list[float]


def analyse(size: int, pairs: Iterable[tuple[int, int]]) -> Pattern:
    """Order the unknowns by minimum degree and find the pattern of ``L``.

    Parameters
    ----------
    size : int
        Number of unknowns, numbered from 0.
    pairs : Iterable of (int, int)
        Pairs of unknowns with a non-zero entry; order and repeats do not matter.

    Returns
    -------
    Pattern
        Everything numeric factorisations of this pattern can share.
    """
    neighbours: list[set[int]] = [set() for _ in range(size)]
    for one, other in pairs:
        if one != other:
            neighbours[one].add(other)
            neighbours[other].add(one)
    order, columns = _eliminate(neighbours)
    position = [0] * size
    for place, unknown in enumerate(order):
        position[unknown] = place
    return _lay_out(size, position, [sorted(position[u] for u in column) for column in columns])


@lru_cache(maxsize=64)
def pattern_of(size: int, pairs: tuple[tuple[int, int], ...]) -> Pattern:
    """Return :func:`analyse` of a pattern, kept for the next time it is met.

    Parameters
    ----------
    size : int
        Number of unknowns.
    pairs : tuple of (int, int)
        Pairs of unknowns with a non-zero entry.

    Returns
    -------
    Pattern
        The shared pattern.
    """
    return analyse(size, pairs)


def _eliminate(neighbours: list[set[int]]) -> tuple[list[int], list[set[int]]]:
    """Eliminate the unknown of least degree again and again."""
    heap = [(len(near), unknown) for unknown, near in enumerate(neighbours)]
    heapify(heap)
    is_done = [False] * len(neighbours)
    order: list[int] = []
    columns: list[set[int]] = []
    while heap:
        degree, unknown = heappop(heap)
        near = neighbours[unknown]
        if is_done[unknown] or degree != len(near):
            continue
        is_done[unknown] = True
        order.append(unknown)
        columns.append(near)
        for other in near:
            around = neighbours[other]
            around |= near
            around.discard(other)
            around.discard(unknown)
            heappush(heap, (len(around), other))
    return order, columns


def _lay_out(size: int, position: list[int], columns: list[list[int]]) -> Pattern:
    starts = [0]
    rows: list[int] = []
    entry_at: dict[tuple[int, int], int] = {}
    for column, below in enumerate(columns):
        for row in below:
            entry_at[column, row] = len(rows)
            rows.append(row)
        starts.append(len(rows))
    updates = tuple(
        tuple(
            entry_at[row, later] for place, row in enumerate(below) for later in below[place + 1 :]
        )
        for below in columns
    )
    return Pattern(size, tuple(position), tuple(starts), tuple(rows), updates, entry_at)


def factorise(pattern: Pattern, diagonal: Sequence[float], values: list[float]) -> Factor | int:
    """Compute ``L`` and ``D``.

    Parameters
    ----------
    pattern : Pattern
        From :func:`analyse`.
    diagonal : Sequence of float
        Diagonal of the matrix in the order of elimination [S].
    values : list of float
        Off-diagonal entries [S] as placed by :meth:`Pattern.entry`, zero where fill
        appears; overwritten.

    Returns
    -------
    Factor or int
        The factor, or the place in the order of elimination of the first pivot
        that is not above its rounding error: the matrix is not positive definite.

    Notes
    -----
    Column by column: ``l = a / d`` and ``A -= l d l^T`` for what lies below.
    """
    pivots = list(diagonal)
    rows, starts, updates = pattern.rows, pattern.starts, pattern.updates
    for column in range(pattern.size):
        pivot = pivots[column]
        if not pivot > 1e-13 * diagonal[column]:
            return column
        start, end = starts[column], starts[column + 1]
        if end - start == 1:
            value = values[start]
            values[start] = scaled = value / pivot
            pivots[rows[start]] -= scaled * value
        elif end > start:
            _eliminate_column(rows, values, pivots, (start, end, pivot), updates[column])
    return Factor(pattern, pivots, values)


def _eliminate_column(
    rows: tuple[int, ...],
    values: list[float],
    pivots: list[float],
    column: tuple[int, int, float],
    targets: tuple[int, ...],
) -> None:
    start, end, pivot = column
    target = iter(targets)
    for entry in range(start, end):
        value = values[entry]
        scaled = value / pivot
        pivots[rows[entry]] -= scaled * value
        for later in range(entry + 1, end):
            values[next(target)] -= scaled * values[later]
        values[entry] = scaled


def solve_in_place(factor: Factor, rhs: list[float]) -> list[float]:
    """Solve ``L D L^T x = rhs``.

    Parameters
    ----------
    factor : Factor
        From :func:`factorise`.
    rhs : list of float
        Right-hand side in the order of elimination [A]; overwritten with ``x``.

    Returns
    -------
    list of float
        `rhs` itself, now the solution in the order of elimination [V].

    Notes
    -----
    Forward through ``L``, over ``D``, back through ``L^T``.
    """
    starts, rows, values = factor.pattern.starts, factor.pattern.rows, factor.values
    for column, pivot in enumerate(factor.pivots):
        known = rhs[column]
        for entry in range(starts[column], starts[column + 1]):
            rhs[rows[entry]] -= values[entry] * known
        rhs[column] = known / pivot
    for column in range(factor.pattern.size - 1, -1, -1):
        known = rhs[column]
        for entry in range(starts[column], starts[column + 1]):
            known -= values[entry] * rhs[rows[entry]]
        rhs[column] = known
    return rhs
