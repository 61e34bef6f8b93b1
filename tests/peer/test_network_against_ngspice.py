"""Every node voltage of random networks against the circuit simulator ngspice.

The simulator is an independent program of long standing (Debian package
``ngspice``).  Constant-power loads are written for it as ``P/max(V,1)``, so the
two agree wherever every load keeps more than one volt.
"""

from pathlib import Path

import pytest

from electrical.core.netlist import Netlist
from electrical.core.network import Solved, solve
from electrical.core.tree import Tree
from tests.peer import simulator
from tests.peer.networks import SHAPES, random_network
from tests.unit.core import designs
from tests.unit.core import test_emergency_start as emergency

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


@pytest.mark.parametrize("house_ohm", [0.004, 0.0005])
def test_an_emergency_start_agrees_within_a_microvolt(house_ohm: float, tmp_path: Path) -> None:
    """With the link closed: an empty battery that gives nothing, and one that is charged."""
    vessel = emergency.vessel(
        sources=(designs.battery(internal_r_ohm=house_ohm), emergency.starter_battery())
    )
    tree, lead_ohm = Tree(design=vessel), {"L-house": 0.0007, "L-start": 0.0011, "S1": 0.0012}
    netlist = Netlist(design=vessel, tree=tree, state=emergency.EMERGENCY, run_ohm=lead_ohm)
    network = netlist.network()
    solved = solve(network)
    assert isinstance(solved, Solved)
    (empty,) = [source for source in network.sources if source.source_id == "start"]
    assert solved.source_flow(empty).is_at_limit == (house_ohm > 0.001)
    text, nodes = simulator.netlist(network)
    voltages = simulator.run(text, tmp_path)
    worst_v = max(abs(voltages[nodes[name]] - solved.node_v[name]) for name in nodes)
    assert worst_v < AGREEMENT_V
