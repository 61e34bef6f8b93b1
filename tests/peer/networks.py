"""Random vessels' networks: radial, meshed, several voltages."""

import random
from dataclasses import dataclass, field

from electrical.core.network import Branch, BranchKind, Converter, Load, Network, Source

SHAPES = ("radial", "meshed", "several voltages")


@dataclass
class Parts:
    """Parts gathered so far."""

    rng: random.Random
    branches: list[Branch] = field(default_factory=list)
    sources: list[Source] = field(default_factory=list)
    loads: list[Load] = field(default_factory=list)
    converters: list[Converter] = field(default_factory=list)
    boards: list[tuple[str, str, float]] = field(default_factory=list)

    def join(self, one: str, other: str, ohm: float, kind: BranchKind) -> None:
        name = f"w{len(self.branches)}"
        self.branches.append(
            Branch(branch_id=name, from_node=one, to_node=other, resistance_ohm=ohm, kind=kind)
        )

    def lead(self, begin: tuple[str, str], end: tuple[str, str], ohm: float) -> None:
        """A fuse and a conductor out, a conductor back."""
        middle = f"m{len(self.branches)}"
        self.join(begin[0], middle, self.rng.uniform(2e-4, 5e-3), BranchKind.PROTECTION)
        self.join(middle, end[0], ohm, BranchKind.CONDUCTOR)
        self.join(end[1], begin[1], ohm * self.rng.uniform(0.9, 1.1), BranchKind.CONDUCTOR)

    def board(self, begin: tuple[str, str], volts: float) -> tuple[str, str]:
        number = len(self.boards)
        end = (f"p{number}", f"n{number}")
        self.lead(begin, end, 10 ** self.rng.uniform(-3.5, -2.2))
        self.boards.append((*end, volts))
        return end

    def circuit(self, begin: tuple[str, str], volts: float, watts: float) -> None:
        number = len(self.branches)
        end = (f"d{number}", f"r{number}")
        self.lead(begin, end, self.rng.uniform(0.005, 0.04) * volts * volts / (watts + 20.0))
        kind = self.rng.choice(("power", "current", "resistance", "mix"))
        third = watts / 3.0
        self.loads.append(
            Load(
                load_id=f"load{number}",
                positive=end[0],
                negative=end[1],
                power_w={"power": watts, "mix": third}.get(kind, 0.0),
                current_a={"current": watts / volts, "mix": third / volts}.get(kind, 0.0),
                resistance_ohm={
                    "resistance": volts * volts / watts,
                    "mix": volts * volts / third,
                }.get(kind),
            )
        )


def random_network(seed: int, shape: str, circuits: int | None = None) -> Network:
    """Make one network; the same seed and shape give the same network."""
    rng = random.Random(f"{shape} {seed}")
    parts = Parts(rng)
    volts = rng.choice((12.0, 24.0, 36.0, 48.0))
    count = circuits or rng.randint(3, 40)
    _battery(parts, "bank", volts, capacity=rng.uniform(0.5, 4.0))
    main = parts.board(("bank+", "bank-"), volts)
    for _ in range(max(1, count // 8)):
        above = rng.choice(parts.boards)
        parts.board(above[:2], volts)
    if shape == "meshed":
        _mesh(parts, main, volts)
    if shape == "several voltages":
        _converters(parts)
    total_w = rng.uniform(20.0, 60.0) * volts
    for _ in range(count):
        positive, negative, board_v = rng.choice(parts.boards)
        parts.circuit((positive, negative), board_v, total_w / count * rng.uniform(0.2, 1.8))
    return Network(
        branches=tuple(parts.branches),
        sources=tuple(parts.sources),
        loads=tuple(parts.loads),
        converters=tuple(parts.converters),
        reference="bank-",
    )


def _battery(parts: Parts, name: str, volts: float, capacity: float) -> None:
    blocks = volts / 12.0
    parts.sources.append(
        Source(
            source_id=name,
            positive=f"{name}+",
            negative=f"{name}-",
            emf_v=parts.rng.uniform(12.2, 13.2) * blocks,
            resistance_ohm=0.006 * blocks / capacity,
        )
    )


def _mesh(parts: Parts, main: tuple[str, str], volts: float) -> None:
    rng = parts.rng
    for number in range(rng.randint(1, 2)):
        _battery(parts, f"bank{number}", volts, rng.uniform(0.5, 2.0))
        parts.lead((f"bank{number}+", f"bank{number}-"), main, 10 ** rng.uniform(-3.3, -2.3))
    if rng.random() < 0.6:
        parts.sources.append(
            Source(
                source_id="charger",
                positive="charger+",
                negative="charger-",
                emf_v=14.2 * volts / 12.0,
                resistance_ohm=0.005,
                max_current_a=rng.uniform(10.0, 60.0),
                min_current_a=0.0,
                is_limit_electronic=True,
            )
        )
        parts.lead(("charger+", "charger-"), main, 0.003)
    for _ in range(rng.randint(1, 6)):
        one, other = rng.choice(parts.boards), rng.choice(parts.boards)
        if one[0] != other[0]:
            parts.lead(one[:2], other[:2], 10 ** rng.uniform(-3.0, -1.5))


def _converters(parts: Parts) -> None:
    rng = parts.rng
    for number in range(rng.randint(1, 4)):
        above = rng.choice(parts.boards)
        feed = parts.board(above[:2], above[2])
        parts.boards.pop()
        out_v = rng.choice([v for v in (12.0, 24.0, 36.0, 48.0) if v != above[2]])
        negative = feed[1] if rng.random() < 0.5 else f"c{number}-"
        curve = ((0.0, 0.7), (100.0, 0.9), (400.0, 0.94), (1500.0, 0.88))
        parts.converters.append(
            Converter(
                converter_id=f"converter{number}",
                in_positive=feed[0],
                in_negative=feed[1],
                out_positive=f"c{number}+",
                out_negative=negative,
                out_v=out_v * rng.uniform(1.0, 1.1),
                out_resistance_ohm=10 ** rng.uniform(-3.5, -2.0),
                max_current_a=None if rng.random() < 0.5 else rng.uniform(80.0, 160.0),
                efficiency=rng.uniform(0.8, 0.96) if rng.random() < 0.5 else curve,
                idle_w=rng.uniform(0.0, 5.0),
            )
        )
        below = (f"b{number}+", f"b{number}-")
        parts.lead((f"c{number}+", negative), below, 10 ** rng.uniform(-3.0, -2.0))
        parts.boards.append((*below, out_v))
        parts.loads.append(
            Load(
                load_id=f"lamp{number}",
                positive=below[0],
                negative=below[1],
                resistance_ohm=out_v * out_v / 2.0,
            )
        )
