"""Time the year's run against pvlib's clear-sky year and against plain Python.

Run as ``python -m tests.benchmarks.bench_energy`` from the project's root.  Figures
are the least of several rounds, taken turn by turn.
"""

import sys
from collections.abc import Callable
from time import perf_counter

import pandas as pd
import pvlib

from electrical.core.energy.year import run_year
from tests.peer.plain_year import plain_year
from tests.unit.energy.vessels import vessel

ROUNDS = 7
DRAWS = 500
PLAIN_DRAWS = 5
YEAR_TARGET = 0.1
DRAWS_TARGET = 0.12


def seconds(action: Callable[[], object]) -> float:
    begin = perf_counter()
    action()
    return perf_counter() - begin


def main() -> int:
    design = vessel()
    place = pvlib.location.Location(41.0, -9.0)
    hours = pd.date_range("2026-01-01", periods=8760, freq="h", tz="UTC")
    actions: dict[str, Callable[[], object]] = {
        "pvlib clear-sky year": lambda: place.get_clearsky(hours),
        "one vessel-year": lambda: run_year(design, draws=1),
        f"{DRAWS} draws": lambda: run_year(design, draws=DRAWS),
        f"plain Python, {PLAIN_DRAWS} draws": lambda: plain_year(design, draws=PLAIN_DRAWS),
    }
    best: dict[str, float] = {}
    for _ in range(ROUNDS):
        for name, action in actions.items():
            best[name] = min(best.get(name, 1e9), seconds(action))
    for name, value in best.items():
        print(f"{name}: {1e3 * value:.1f} ms")
    sky, one, many, plain = best.values()
    plain *= DRAWS / PLAIN_DRAWS
    print(f"one vessel-year / pvlib clear-sky year: {one / sky:.3f} (target {YEAR_TARGET})")
    print(f"{DRAWS} draws / plain Python: {many / plain:.4f} (target {DRAWS_TARGET})")
    return 0 if one / sky <= YEAR_TARGET and many / plain <= DRAWS_TARGET else 1


if __name__ == "__main__":
    sys.exit(main())
