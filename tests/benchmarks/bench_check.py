"""Time the whole check of a vessel against the circuit simulator's solving alone.

Run as ``python -m tests.benchmarks.bench_check`` from the project's root.  The check
is everything: geometry left out, it solves the network, works out fault currents and
puts every rule to every circuit.  The simulator's marginal time is its run less an
empty run: reading and solving a network of the same size, and no rules at all.  Both
are counted in processor time, so that what else the machine does matters less.
"""

import cProfile
import pstats
import sys
import tempfile
from pathlib import Path
from resource import RUSAGE_CHILDREN, RUSAGE_SELF, getrusage

from electrical.core.check import check_design
from electrical.core.design import Design, Route
from electrical.core.network import Network, Solved, solve
from electrical.core.parts import Cable, LoadKind
from electrical.core.sizes import mm2
from tests.benchmarks.bench_network import EMPTY
from tests.peer import simulator
from tests.peer.networks import random_network
from tests.unit.core import designs

ROUNDS = 9
BOARDS = 10
CIRCUITS = 200
TARGET = 1.4


def vessel() -> Design:
    """Return a vessel of 200 circuits on ten boards."""
    feeders = [
        designs.feeder(id=f"F{b}", label=f"Feeder {b}", to_id=f"B{b}") for b in range(BOARDS)
    ]
    branches = [
        designs.branch(
            id=f"C{n}",
            label=f"C{n}",
            from_id=f"B{n % BOARDS}",
            route=Route(length_m=1.5 + 0.05 * n),
            cable=Cable(size=mm2((1.5, 2.5, 4.0)[n % 3])),
            loads=(
                designs.lamp(
                    id=f"D{n}", current_a=0.1 + 0.1 * (n % 7), kind=LoadKind.CONSTANT_POWER
                ),
            ),
        )
        for n in range(CIRCUITS)
    ]
    boards = tuple(designs.board(id=f"B{b}", label=f"Board {b}") for b in range(BOARDS))
    return designs.design(*feeders, *branches, boards=boards)


def same_size_network() -> Network:
    for seed in range(100):
        network = random_network(seed, "radial", CIRCUITS)
        if isinstance(solve(network), Solved):
            return network
    raise RuntimeError("no network of this size could be solved")


def processor_s() -> float:
    """Processor time of this process and the programs it ran."""
    times = [getrusage(who) for who in (RUSAGE_SELF, RUSAGE_CHILDREN)]
    return sum(used.ru_utime + used.ru_stime for used in times)


def main() -> int:
    if simulator.PROGRAM is None:
        print("ngspice is not installed (apt: ngspice)")
        return 1
    design, (deck, _) = vessel(), simulator.netlist(same_size_network())
    if len(sys.argv) > 1:
        with cProfile.Profile() as profile:
            check_design(design)
        pstats.Stats(profile).sort_stats("tottime").print_stats(25)
    best = {"check": 1e9, "simulator": 1e9, "empty": 1e9}
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for _ in range(ROUNDS):
            for what, action in (
                ("check", lambda: check_design(design)),
                ("simulator", lambda: simulator.run(deck, folder)),
                ("empty", lambda: simulator.run(EMPTY, folder)),
            ):
                begin = processor_s()
                action()
                best[what] = min(best[what], 1e3 * (processor_s() - begin))
    marginal = best["simulator"] - best["empty"]
    ratio = best["check"] / marginal
    print(f"check {best['check']:.1f} ms, simulator {marginal:.1f} ms more than an empty run")
    print(f"whole check / simulator's marginal time: {ratio:.2f} (target {TARGET})")
    return 0 if ratio <= TARGET else 1


if __name__ == "__main__":
    sys.exit(main())
