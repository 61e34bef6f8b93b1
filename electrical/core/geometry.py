"""Length of a run along the cableways of a vessel.

A run leaves its start, goes to the nearest point of a cableway (the first tail),
follows cableways by the shortest way, leaves at the nearest point to its end (the
second tail), and gets a little slack. Tails go square along the hull, not straight
through it.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from heapq import heappop, heappush
from math import dist

from electrical.core.errors import BadInput, require_positive

#: Slack as a share of the way, and for making off each end [m]; common practice.
SLACK_SHARE = 0.05
END_SLACK_M = 0.15


@dataclass(frozen=True, kw_only=True)
class Point:
    """A place in the vessel.

    Parameters
    ----------
    x_m, y_m, z_m : float
        Forward, to starboard, up [m].
    """

    x_m: float
    y_m: float
    z_m: float = 0.0

    def __post_init__(self) -> None:
        for axis, value in (("x", self.x_m), ("y", self.y_m), ("z", self.z_m)):
            if not -1000.0 <= value <= 1000.0:
                raise BadInput(f"Place: {axis} of {value:g} m; -1000 to 1000 m allowed.")

    @property
    def xyz_m(self) -> tuple[float, float, float]:
        """The three coordinates [m]."""
        return self.x_m, self.y_m, self.z_m


def square_distance_m(start: Point, end: Point) -> float:
    """Return the way along the three axes [m].

    Parameters
    ----------
    start, end : Point
        Two places.

    Returns
    -------
    float
        Sum of the three differences [m].
    """
    return sum(abs(a - b) for a, b in zip(start.xyz_m, end.xyz_m, strict=True))


@dataclass(frozen=True, kw_only=True)
class Segment:
    """A stretch of cableway between two nodes.

    Parameters
    ----------
    id : str
        Identifier.
    start_id, end_id : str
        Its nodes.
    length_m : float or None
        Measured length [m]; None = straight between its nodes.
    zone_ids : tuple of str
        Zones it passes.
    """

    id: str
    start_id: str
    end_id: str
    length_m: float | None = None
    zone_ids: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.length_m is not None:
            require_positive(f"Segment {self.id}: length", self.length_m, "m")
        if self.start_id == self.end_id:
            raise BadInput(f"Segment {self.id}: it starts and ends at the same node.")


@dataclass(frozen=True, kw_only=True)
class Way:
    """A way found.

    Parameters
    ----------
    length_m : float
        Conductor length one way, tails and slack included [m].
    along_m : float
        Along cableways [m].
    first_tail_m, last_tail_m : float
        From the start to the cableway and from it to the end [m].
    slack_m : float
        Added for making off [m].
    segment_ids : tuple of str
        Segments followed, in order.
    node_ids : tuple of str
        Nodes passed, in order.
    zone_ids : tuple of str
        Zones passed, once each.
    """

    length_m: float
    along_m: float
    first_tail_m: float
    last_tail_m: float
    slack_m: float
    segment_ids: tuple[str, ...]
    node_ids: tuple[str, ...]
    zone_ids: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class NoWay:
    """No way along the cableways.

    Parameters
    ----------
    reason : str
        Why, in one sentence.
    """

    reason: str


@dataclass(frozen=True)
class _Foot:
    """Where a tail meets a cableway: on a segment, at a share of it."""

    segment: Segment
    share: float
    tail_m: float


@dataclass(frozen=True, kw_only=True)
class Cableways:
    """The cableways of a vessel.

    Parameters
    ----------
    nodes : Mapping[str, Point]
        Nodes by identifier.
    segments : Sequence[Segment]
        Stretches between them.

    Raises
    ------
    BadInput
        If a segment names a node that is not there, or an identifier is used twice.
    """

    nodes: Mapping[str, Point]
    segments: Sequence[Segment]

    def __post_init__(self) -> None:
        seen: set[str] = set()
        for segment in self.segments:
            for node_id in (segment.start_id, segment.end_id):
                if node_id not in self.nodes:
                    raise BadInput(f"Segment {segment.id}: there is no node {node_id}.")
            if segment.id in seen:
                raise BadInput(f"Segment {segment.id}: the identifier is there twice.")
            seen.add(segment.id)

    @cached_property
    def _neighbours(self) -> Mapping[str, tuple[tuple[str, Segment], ...]]:
        found: dict[str, list[tuple[str, Segment]]] = {node_id: [] for node_id in self.nodes}
        for segment in self.segments:
            found[segment.start_id].append((segment.end_id, segment))
            found[segment.end_id].append((segment.start_id, segment))
        return {node_id: tuple(ends) for node_id, ends in found.items()}

    def length_m(self, segment: Segment) -> float:
        """Return the length of a segment: measured, else straight [m]."""
        if segment.length_m is not None:
            return segment.length_m
        return dist(self.nodes[segment.start_id].xyz_m, self.nodes[segment.end_id].xyz_m)

    def _foot(self, segment: Segment, place: Point) -> _Foot:
        """Nearest point of a segment to a place."""
        start, end = self.nodes[segment.start_id].xyz_m, self.nodes[segment.end_id].xyz_m
        way = tuple(b - a for a, b in zip(start, end, strict=True))
        to_place = tuple(p - a for a, p in zip(start, place.xyz_m, strict=True))
        square = sum(w * w for w in way)
        share = 0.0
        if square > 0.0:
            share = sum(w * t for w, t in zip(way, to_place, strict=True)) / square
        share = min(1.0, max(0.0, share))
        at = Point(
            **{f"{axis}_m": a + share * w for axis, a, w in zip("xyz", start, way, strict=True)}
        )
        return _Foot(segment, share, square_distance_m(place, at))

    def _feet(self, place: Point) -> list[_Foot]:
        feet = [self._foot(segment, place) for segment in self.segments]
        return sorted(feet, key=lambda foot: foot.tail_m)

    def way(self, start: Point, end: Point) -> Way | NoWay:
        """Return the shortest way from one place to another.

        Parameters
        ----------
        start, end : Point
            Where the run starts and ends.

        Returns
        -------
        Way or NoWay
            The way, tails and slack included; NoWay when the vessel has no cableway,
            or the ones near the two places do not meet. When going square from
            start to end is shorter than the tails alone, no cableway is used.
        """
        direct_m = square_distance_m(start, end)
        first, last = self._feet(start), self._feet(end)
        if not first:
            return NoWay(reason="The vessel has no cableway.")
        if direct_m <= first[0].tail_m + last[0].tail_m:
            return _finished(direct_m, 0.0, 0.0, (), (), ())
        found = self._between(first[0], last[0])
        if found is None:
            return NoWay(
                reason=(
                    f"Segment {first[0].segment.id}, nearest to the start, and segment "
                    f"{last[0].segment.id}, nearest to the end, are not joined by cableways."
                )
            )
        along_m, node_ids, segments = found
        return _finished(
            along_m,
            first[0].tail_m,
            last[0].tail_m,
            tuple(segment.id for segment in segments),
            node_ids,
            tuple(dict.fromkeys(zone for segment in segments for zone in segment.zone_ids)),
        )

    def _between(
        self, first: _Foot, last: _Foot
    ) -> tuple[float, tuple[str, ...], tuple[Segment, ...]] | None:
        """Shortest way between two feet (Dijkstra): length, nodes, segments."""
        queue = list(self._starts(first, last))
        done: set[str] = set()
        while queue:
            so_far_m, node_id, nodes, segments = heappop(queue)
            if node_id == "":
                return so_far_m, nodes, self._in_order(segments)
            if node_id in done:
                continue
            done.add(node_id)
            for end_id, share in (
                (last.segment.start_id, last.share),
                (last.segment.end_id, 1 - last.share),
            ):
                if node_id == end_id:
                    rest_m = share * self.length_m(last.segment)
                    heappush(
                        queue, (so_far_m + rest_m, "", nodes, _with(segments, last.segment, rest_m))
                    )
            for other_id, segment in self._neighbours[node_id]:
                if other_id not in done:
                    length_m = self.length_m(segment)
                    way = _with(segments, segment, length_m)
                    heappush(queue, (so_far_m + length_m, other_id, (*nodes, other_id), way))
        return None

    def _starts(
        self, first: _Foot, last: _Foot
    ) -> Iterator[tuple[float, str, tuple[str, ...], tuple[str, ...]]]:
        segment, length_m = first.segment, self.length_m(first.segment)
        starts = [
            (first.share * length_m, segment.start_id),
            ((1.0 - first.share) * length_m, segment.end_id),
        ]
        if segment.id == last.segment.id:
            straight_m = abs(first.share - last.share) * length_m
            starts.append((straight_m, ""))
        for way_m, node_id in sorted(starts):
            nodes = (node_id,) if node_id else ()
            used = (segment.id,) if way_m > 0.0 or not node_id else ()
            yield way_m, node_id, nodes, used

    def _in_order(self, segment_ids: tuple[str, ...]) -> tuple[Segment, ...]:
        by_id = {segment.id: segment for segment in self.segments}
        return tuple(by_id[segment_id] for segment_id in dict.fromkeys(segment_ids))


def _with(used: tuple[str, ...], segment: Segment, length_m: float) -> tuple[str, ...]:
    return (*used, segment.id) if length_m > 0.0 else used


def _finished(  # noqa: PLR0917 - the parts of a way, in order
    along_m: float,
    first_tail_m: float,
    last_tail_m: float,
    segment_ids: tuple[str, ...],
    node_ids: tuple[str, ...],
    zone_ids: tuple[str, ...],
) -> Way:
    way_m = along_m + first_tail_m + last_tail_m
    slack_m = SLACK_SHARE * way_m + 2.0 * END_SLACK_M
    return Way(
        length_m=way_m + slack_m,
        along_m=along_m,
        first_tail_m=first_tail_m,
        last_tail_m=last_tail_m,
        slack_m=slack_m,
        segment_ids=segment_ids,
        node_ids=node_ids,
        zone_ids=zone_ids,
    )
