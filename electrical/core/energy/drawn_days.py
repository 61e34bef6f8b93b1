"""Which use profile each drawn day has."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from electrical.core.energy.profiles import DAYS_PER_WEEK, UseProfile, shares_by_month
from electrical.core.energy.weather import DAYS_DRAWN

__all__ = ["Days", "draw_days"]

Days = NDArray[np.intp]

_WEEK = int(DAYS_PER_WEEK)
_WEEKS = (DAYS_DRAWN + _WEEK - 1) // _WEEK + 1
_STREAM = 7
"""Keeps the draws of days apart from those of the weather with the same seed."""


def draw_days(profiles: Sequence[UseProfile], *, draws: int, seed: int) -> Days:
    """Draw the profile of each day of each month.

    Parameters
    ----------
    profiles : Sequence of UseProfile
        The profiles; every month has at least one.
    draws : int
        Drawn months each [-].
    seed : int
        The same seed gives the same days, whatever the weather.

    Returns
    -------
    ndarray of int
        Place of the profile in `profiles`, thirty-one days by twelve months by draws.

    Raises
    ------
    BadInput
        If more than 7 days a week have a profile in some month.

    Notes
    -----
    Days of one profile follow one another within a week, as working days do, in the order
    given.  A month begins on any day of the week alike.  The profile of a day is the one
    whose part of the week holds ``(weekday + u) / 7``, with one `u` drawn evenly from 0 to
    1 for each week: whole days a week come exactly, parts of a day as often as they should.
    """
    by_month = shares_by_month(profiles)
    shape = (len(by_month), draws)
    if len(profiles) == 1:
        return np.zeros((DAYS_DRAWN, *shape), dtype=np.intp)
    generator = np.random.default_rng([seed, _STREAM])
    first = generator.integers(0, _WEEK, size=shape)
    shift = generator.random((_WEEKS, *shape))
    day = np.arange(DAYS_DRAWN)[:, None, None] + first
    week, weekday = np.divmod(day, _WEEK)
    place = (weekday + np.take_along_axis(shift, week, axis=0)) / DAYS_PER_WEEK
    chosen: Days = np.empty(place.shape, dtype=np.intp)
    for month, shares in enumerate(by_month):
        ends = np.cumsum(shares)[:-1]
        chosen[:, month] = np.searchsorted(ends, place[:, month], side="right")
    return chosen
