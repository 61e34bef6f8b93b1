"""Choose all cables and devices together, against one circuit at a time.

Run by hand: ``python -m tests.benchmarks.bench_search``. Prints cost of both, what
searching together saves, how many plans were made and how long it took relative to
one check of the same vessel. Prices are invented.
"""

import random
from time import perf_counter

from electrical.core.check import check_design
from electrical.core.design import Circuit, CircuitRole, Design, DropClass, Route
from electrical.core.findings import RuleSet
from electrical.core.parts import Load
from electrical.core.search import search_design
from electrical.core.sources import Board, Chemistry, Source, SourceKind
from tests.unit.core.offers import BLADES, CABLES, STRIPS

VESSELS = {
    "open boat, one board": (6.0, 1, 10),
    "launch, two boards": (7.5, 2, 22),
    "workboat, three boards": (8.6, 3, 36),
}


def vessel(length_m: float, boards: int, leaves: int, *, seed: int = 1) -> Design:
    chance = random.Random(seed)
    names = [f"B{n}" for n in range(1, boards + 1)]
    circuits = [
        Circuit(
            id=f"F{n}",
            label=f"F{n}",
            from_id="house" if n == 1 else "B1",
            to_id=name,
            role=CircuitRole.FEEDER,
            nominal_v=12.0,
            route=Route(length_m=chance.uniform(1.0, 0.6 * length_m)),
        )
        for n, name in enumerate(names, start=1)
    ]
    for n in range(leaves):
        load = Load(
            id=f"L{n}",
            label=f"Load {n}",
            current_a=round(chance.choice([0.2, 0.5, 1.0, 2.0, 4.0, 6.0, 9.0]), 1),
            continuous=chance.random() < 0.5,
        )
        circuits.append(
            Circuit(
                id=f"C{n}",
                label=f"C{n}",
                from_id=chance.choice(names),
                nominal_v=12.0,
                route=Route(
                    length_m=chance.uniform(0.8, length_m),
                    segment_ids=(chance.choice(["W1", "W2", "W3"]),),
                ),
                drop_class=chance.choice([DropClass.CRITICAL, DropClass.GENERAL]),
                loads=(load,),
            )
        )
    battery = Source(
        id="house",
        label="House battery",
        kind=SourceKind.BATTERY,
        nominal_v=12.0,
        internal_r_ohm=0.006,
        capacity_ah=220.0,
        chemistry=Chemistry.AGM,
    )
    return Design(
        rule_set=RuleSet.ISO,
        sources=(battery,),
        boards=tuple(Board(id=name, label=name, nominal_v=12.0, busbar_a=200.0) for name in names),
        circuits=tuple(circuits),
    )


def main() -> None:
    for name, (length_m, boards, leaves) in VESSELS.items():
        net = vessel(length_m, boards, leaves)
        start = perf_counter()
        found = search_design(
            net,
            circuit_ids=[circuit.id for circuit in net.circuits],
            cables=lambda _circuit: CABLES,
            devices=lambda _circuit: (*BLADES, *STRIPS),
        )
        searched_s = perf_counter() - start
        start = perf_counter()
        check_design(found.design)
        checked_s = perf_counter() - start
        alone = found.one_by_one_cost
        saving = "-" if alone is None else f"{100 * (alone - found.cost) / alone:.1f} %"
        print(
            f"{name}: {len(net.circuits)} circuits, exact {found.is_exact} {found.why_not_exact}"
            f" together {found.cost:.2f}, one at a time {alone if alone is None else round(alone, 2)},"
            f" saved {saving}, {found.plans_tried} plans, {searched_s / checked_s:.0f} checks' time"
        )


if __name__ == "__main__":
    main()
