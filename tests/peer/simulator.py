"""The circuit simulator ngspice: write a network for it, run it, read its answer."""

import shutil
import struct
import subprocess
from itertools import pairwise
from pathlib import Path

from electrical.core.network import Converter, Load, Network, Source

PROGRAM = shutil.which("ngspice")

OPTIONS = ".options reltol=1e-7 vntol=1e-9 abstol=1e-9 pivrel=0.5 gmin=1e-18 itl1=2000"


def netlist(network: Network) -> tuple[str, dict[str, int]]:
    """Write the network; node 0 is the reference of each separate part."""
    nodes: dict[str, int] = {network.reference or network.sources[0].negative: 0}

    def node(name: str) -> int:
        return nodes.setdefault(name, len(nodes))

    lines = ["* random network"]
    for k, branch in enumerate(network.branches):
        one, other = node(branch.from_node), node(branch.to_node)
        lines.append(f"R{k} {one} {other} {branch.resistance_ohm!r}")
    for k, source in enumerate(network.sources):
        lines += _source(k, source, node(source.positive), node(source.negative))
    for k, load in enumerate(network.loads):
        lines.append(_load(k, load, node(load.positive), node(load.negative)))
    for k, converter in enumerate(network.converters):
        ends = tuple(
            node(name)
            for name in (
                converter.in_positive,
                converter.in_negative,
                converter.out_positive,
                converter.out_negative,
            )
        )
        lines += _converter(k, converter, ends)
    guess = _guess(network)
    lines += [
        f".nodeset v({number})={guess.get(name, 0.0)!r}" for name, number in nodes.items() if number
    ]
    lines += [OPTIONS, ".op", ".end"]
    return "\n".join(lines) + "\n", nodes


def _guess(network: Network) -> dict[str, float]:
    """Start from the sources' own voltages: from none the loads would pin it near none."""
    volts = {source.positive: source.emf_v for source in network.sources}
    volts |= {
        converter.out_positive: converter.out_v
        - 0.1 * (converter.max_current_a or 0.0) * converter.out_resistance_ohm
        for converter in network.converters
    }
    near: dict[str, list[str]] = {}
    for branch in network.branches:
        near.setdefault(branch.from_node, []).append(branch.to_node)
        near.setdefault(branch.to_node, []).append(branch.from_node)
    queue = list(volts)
    while queue:
        name = queue.pop(0)
        for other in near.get(name, []):
            if other not in volts:
                volts[other] = volts[name]
                queue.append(other)
    return volts


def _source(k: int, source: Source, positive: int, negative: int) -> list[str]:
    if not source.is_limited:
        middle = f"e{k}"
        return [
            f"V{k} {middle} {negative} {source.emf_v!r}",
            f"RS{k} {middle} {positive} {source.resistance_ohm!r}",
        ]
    free = f"({source.emf_v!r}-V({positive},{negative}))/{source.resistance_ohm!r}"
    high = 1e9 if source.max_current_a is None else source.max_current_a
    low = -1e9 if source.min_current_a is None else source.min_current_a
    return [f"B{k} {negative} {positive} I=min(max({free},{low!r}),{high!r})"]


def _load(k: int, load: Load, positive: int, negative: int) -> str:
    across = f"V({positive},{negative})"
    siemens = 0.0 if load.resistance_ohm is None else 1.0 / load.resistance_ohm
    law = f"{load.power_w!r}/max({across},1)+{load.current_a!r}+{siemens!r}*{across}"
    return f"BL{k} {positive} {negative} I={law}"


def _converter(k: int, converter: Converter, ends: tuple[int, ...]) -> list[str]:
    in_p, in_n, out_p, out_n = ends
    across = f"V({out_p},{out_n})"
    if converter.max_current_a is None:
        lines = [
            f"VC{k} x{k} {out_n} {converter.out_v!r}",
            f"RC{k} x{k} y{k} {converter.out_resistance_ohm!r}",
            f"VI{k} y{k} {out_p} 0",
        ]
        given = f"I(VI{k})"
    else:
        free = f"({converter.out_v!r}-{across})/{converter.out_resistance_ohm!r}"
        given = f"min(max({free},0),{converter.max_current_a!r})"
        lines = [f"BC{k} {out_n} {out_p} I={given}"]
    taken = f"V(w{k})/{_efficiency(converter, f'V(w{k})')}+{converter.idle_w!r}"
    lines += [
        f"BW{k} w{k} 0 V={across}*{given}",
        f"BI{k} {in_p} {in_n} I=({taken})/max(V({in_p},{in_n}),1)",
    ]
    if out_n != in_n:
        lines.append(f"RG{k} {out_n} 0 1")
    return lines


def _efficiency(converter: Converter, watts: str) -> str:
    if not isinstance(converter.efficiency, tuple):
        return f"{converter.efficiency!r}"
    points = converter.efficiency
    law = f"{points[-1][1]!r}"
    for (low_w, low), (high_w, high) in reversed(list(pairwise(points))):
        slope = (high - low) / (high_w - low_w)
        law = f"({watts}<={high_w!r}?({low!r}+{slope!r}*({watts}-{low_w!r})):{law})"
    return f"({watts}<={points[0][0]!r}?{points[0][1]!r}:{law})"


def run(text: str, folder: Path) -> dict[int, float]:
    """Run the simulator and read the voltages by node number from its raw file."""
    deck, raw = folder / "net.cir", folder / "net.raw"
    deck.write_text(text)
    done = subprocess.run(
        [str(PROGRAM), "-b", "-r", str(raw), str(deck)], capture_output=True, text=True, check=False
    )
    if not raw.exists() or b"No. Points: 1" not in raw.read_bytes():
        raise RuntimeError(done.stdout + done.stderr)
    return read_raw(raw.read_bytes())


def read_raw(content: bytes) -> dict[int, float]:
    """Read a binary raw file with one operating point."""
    head, _, body = content.partition(b"Binary:\n")
    lines = head.decode().splitlines()
    start = lines.index("Variables:") + 1
    names = [line.split()[1] for line in lines[start:]]
    values = struct.unpack(f"<{len(names)}d", body[: 8 * len(names)])
    found = {0: 0.0}
    for name, value in zip(names, values, strict=True):
        inner = name[2:-1] if name.startswith("v(") else name
        if inner.isdigit():
            found[int(inner)] = value
    return found
