"""A maker's time-current curve as the core's."""

from functools import lru_cache

from catalogue.models.electrical_data.time_current import read_curve
from electrical.core.curves import Curve, TimePoint
from electrical.core.status import Clause, SourceStatus


@lru_cache(maxsize=256)  # the core compares curves by identity
def curve_of_maker(text: str, printed_on: str, *, melts: bool) -> Curve | None:
    rows = read_curve(text)
    if not rows:
        return None
    return Curve(
        points=tuple(
            TimePoint(
                multiple=float(row.multiple),
                t_min_s=float(row.shortest_s),
                t_max_s=None if row.longest_s is None else float(row.longest_s),
            )
            for row in rows
        ),
        clause=Clause(source="maker's data", clause=printed_on, status=SourceStatus.SECOND_HAND),
        melts=melts,
    )
