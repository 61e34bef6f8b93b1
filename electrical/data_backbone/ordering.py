"""In which order the backbone passes the devices: the shortest line through all of them."""

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import TypeVar

Item = TypeVar("Item")
Distance = Callable[[Item, Item], float]
#: Turns of improving a line; a dozen tees settle in two or three.
MOST_TURNS = 20
SAME_M = 1e-9


def length_of(line: Sequence[Item], distance: Distance[Item]) -> float:
    return sum(distance(one, other) for one, other in pairwise(line))


def shortest_line(items: Sequence[Item], distance: Distance[Item]) -> list[Item]:
    """Nearest neighbour from every start, then pieces turned round while that shortens it."""
    lines = [_nearest_first(start, items, distance) for start in range(len(items))]
    best = min(lines, key=lambda line: length_of(line, distance), default=[])
    return _turned(best, distance)


def inserted(line: Sequence[Item], item: Item, distance: Distance[Item]) -> list[Item]:
    """The line with one more item where it lengthens it least."""
    places = [[*line[:at], item, *line[at:]] for at in range(len(line) + 1)]
    return min(places, key=lambda tried: length_of(tried, distance))


def _nearest_first(start: int, items: Sequence[Item], distance: Distance[Item]) -> list[Item]:
    line = [items[start]]
    rest = [item for at, item in enumerate(items) if at != start]
    while rest:
        nearest = min(range(len(rest)), key=lambda at: distance(line[-1], rest[at]))
        line.append(rest.pop(nearest))
    return line


def _turned(line: list[Item], distance: Distance[Item]) -> list[Item]:
    best, best_m = line, length_of(line, distance)
    for _turn in range(MOST_TURNS):
        before_m = best_m
        for start in range(len(best)):
            for end in range(start + 2, len(best) + 1):
                tried = [*best[:start], *reversed(best[start:end]), *best[end:]]
                tried_m = length_of(tried, distance)
                if tried_m < best_m - SAME_M:
                    best, best_m = tried, tried_m
        if best_m >= before_m - SAME_M:
            break
    return best
