"""Every node voltage of random networks against the circuit simulator ngspice.

The simulator is an independent program of long standing (Debian package
``ngspice``).  Constant-power loads are written for it as ``P/max(V,1)``, so the
two agree wherever every load keeps more than one volt.
"""

from pathlib import Path

import pytest

from electrical.core.network import Solved, solve
from tests.peer import simulator
from tests.peer.networks import SHAPES, random_network

pytestmark = [
    pytest.mark.peer,
    pytest.mark.skipif(
        simulator.PROGRAM is None, reason="the program ngspice is not installed (apt: ngspice)"
    ),
]

AGREEMENT_V = 1e-6


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("seed", range(80))
def test_every_node_agrees_within_a_microvolt(seed: int, shape: str, tmp_path: Path) -> None:
    network = random_network(seed, shape)
    solved = solve(network)
    assert isinstance(solved, Solved)
    text, nodes = simulator.netlist(network)
    voltages = simulator.run(text, tmp_path)
    assert set(nodes) == set(solved.node_v)
    worst_v = max(abs(voltages[nodes[name]] - solved.node_v[name]) for name in nodes)
    assert worst_v < AGREEMENT_V
