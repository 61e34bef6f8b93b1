"""Time the network solve against the circuit simulator ngspice, in one run.

Run as ``python -m tests.benchmarks.bench_network`` from the project's root.  Each
figure is the least of several rounds, taken turn by turn so that a busy machine
slows both alike.  The simulator's time is that of its whole process, as a program
that has to be started for each question; its marginal time leaves out an empty
run.
"""

import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from time import perf_counter

from electrical.core.network import Network, Solved, fault_currents, solve
from electrical.core.network.topology import clear_cache
from tests.peer import simulator
from tests.peer.networks import random_network

ROUNDS = 15
CIRCUITS = 200
TARGETS = {"radial": 0.10, "meshed": 0.20}
EMPTY = "* empty\nV1 1 0 1\nR1 1 0 1\n.op\n.end\n"


def milliseconds(action: Callable[[], object]) -> float:
    begin = perf_counter()
    action()
    return 1e3 * (perf_counter() - begin)


def solvable(shape: str) -> Network:
    """Return the first network of this shape and size with an operating point."""
    for seed in range(100):
        network = random_network(seed, shape, CIRCUITS)
        if isinstance(solve(network), Solved):
            return network
    raise RuntimeError(f"no {shape} network could be solved")


def first_solve(network: Network) -> None:
    clear_cache()
    solve(network)


def measure(shape: str, folder: Path) -> dict[str, float]:
    network = solvable(shape)
    deck, _ = simulator.netlist(network)
    best: dict[str, float] = {}
    actions: dict[str, Callable[[], object]] = {
        "simulator": lambda: simulator.run(deck, folder),
        "empty": lambda: simulator.run(EMPTY, folder),
        "first solve": lambda: first_solve(network),
        "next solve": lambda: solve(network),
        "fault level": lambda: fault_currents(network),
    }
    for _ in range(ROUNDS):
        for name, action in actions.items():
            best[name] = min(best.get(name, 1e9), milliseconds(action))
    return best


def main() -> int:
    if simulator.PROGRAM is None:
        print("ngspice is not installed (apt: ngspice)")
        return 1
    is_met = True
    with tempfile.TemporaryDirectory() as folder:
        for shape, target in TARGETS.items():
            best = measure(shape, Path(folder))
            whole, marginal = best["simulator"], best["simulator"] - best["empty"]
            again = best["next solve"] / whole
            both = (best["next solve"] + best["fault level"]) / marginal
            is_met &= again <= target
            times = ", ".join(f"{name} {value:.2f} ms" for name, value in best.items())
            print(f"{shape}, {CIRCUITS} circuits: {times}")
            print(f"  next solve / simulator process: {again:.3f} (target {target})")
            print(f"  first solve / simulator process: {best['first solve'] / whole:.3f}")
            print(f"  (solve + fault level) / simulator's marginal time: {both:.2f}")
    return 0 if is_met else 1


if __name__ == "__main__":
    sys.exit(main())
