"""Whole checks worked out by hand: Ohm's law, one quadratic, one divider."""

from math import sqrt

import pytest

from electrical.core.check import check_design
from electrical.core.design import Design, OperatingState
from electrical.core.drop import closed_formulas
from electrical.core.parts import Cable, CableConstruction, LoadKind
from electrical.core.results import DropResult
from electrical.core.sizes import mm2
from tests.unit.core.designs import board, branch, design, feeder, lamp

#: Class 5, tinned, printed maxima at 20 °C [Ω/km].
R_2_5, R_35 = 8.21, 0.565


def loop_ohm(r20_ohm_per_km: float, *, length_m: float, current_a: float, limit_a: float) -> float:
    """2 · l · R₂₀ · (1 + 0.00393 · (T − 20)), T = 30 + 55 · (I / I_z)² for 85 °C cable."""
    temp_c = 30.0 + 55.0 * (current_a / limit_a) ** 2
    return 2 * length_m / 1000 * r20_ohm_per_km * (1 + 0.00393 * (temp_c - 20.0))


def drop_of(net: Design, circuit_id: str = "C1") -> DropResult:
    found = check_design(net).circuits[circuit_id].drop
    assert found is not None
    return found


def both_ohm() -> tuple[float, float]:
    return (
        loop_ohm(R_35, length_m=1.5, current_a=5.0, limit_a=175.0),
        loop_ohm(R_2_5, length_m=6.0, current_a=5.0, limit_a=25.0),
    )


def test_a_constant_current_loses_current_times_resistance() -> None:
    feeder_ohm, branch_ohm = both_ohm()
    run = branch(loads=(lamp(kind=LoadKind.CONSTANT_CURRENT),))
    found = drop_of(design(feeder(), run))
    assert found.upstream_v == pytest.approx(5.0 * feeder_ohm, rel=1e-9)
    assert found.own_v == pytest.approx(5.0 * branch_ohm, rel=1e-9)
    assert found.total_pct == pytest.approx(100 * 5.0 * (feeder_ohm + branch_ohm) / 12, rel=1e-9)


def test_a_constant_power_is_the_root_of_a_quadratic() -> None:
    """12 V behind 4 mΩ and the two runs, 60 W: V² − 12 V + 60 R = 0, the larger root."""
    feeder_ohm, branch_ohm = both_ohm()
    total_ohm = 0.004 + feeder_ohm + branch_ohm
    device_v = (12.0 + sqrt(144.0 - 4 * 60.0 * total_ohm)) / 2
    current_a = 60.0 / device_v
    found = drop_of(design())
    assert found.current_a == pytest.approx(current_a, rel=1e-9)
    assert found.total_v == pytest.approx(current_a * (feeder_ohm + branch_ohm), rel=1e-9)


def test_a_resistive_load_is_a_divider() -> None:
    feeder_ohm, branch_ohm = both_ohm()
    current_a = 12.0 / (12.0 / 5.0 + 0.004 + feeder_ohm + branch_ohm)
    run = branch(loads=(lamp(kind=LoadKind.RESISTIVE),))
    assert drop_of(design(feeder(), run)).current_a == pytest.approx(current_a, rel=1e-9)


def test_two_branches_share_the_feeder() -> None:
    """The feeder carries 5 A and 8 A; the branch with 5 A loses its own and the feeder's."""
    feeder_ohm = loop_ohm(R_35, length_m=1.5, current_a=13.0, limit_a=175.0)
    branch_ohm = loop_ohm(R_2_5, length_m=6.0, current_a=5.0, limit_a=25.0)
    steady = LoadKind.CONSTANT_CURRENT
    net = design(
        feeder(),
        branch(loads=(lamp(kind=steady),)),
        branch(id="C2", label="C2", loads=(lamp(id="D2", current_a=8.0, kind=steady),)),
    )
    assert drop_of(net).total_v == pytest.approx(13 * feeder_ohm + 5 * branch_ohm, rel=1e-9)


def test_a_makers_resistance_replaces_the_table() -> None:
    cable = Cable(size=mm2(2.5), max_r_ohm_per_km=7.0)
    run = branch(cable=cable, loads=(lamp(kind=LoadKind.CONSTANT_CURRENT),))
    result = check_design(design(feeder(), run)).circuits["C1"]
    assert result.resistance is not None
    assert result.resistance.r20_ohm_per_km == 7.0
    assert result.resistance.clause.source == "maker's data"


@pytest.mark.parametrize(
    ("cable", "expected"),
    [
        (Cable(size=mm2(2.5)), 8.21),
        (Cable(size=mm2(2.5), tinned=False), 7.98),
        (Cable(size=mm2(2.5), construction=CableConstruction.STRANDED), 7.56),
        (Cable(size=mm2(2.5), construction=CableConstruction.SOLID, tinned=False), 7.41),
    ],
)
def test_each_class_has_its_resistance(cable: Cable, expected: float) -> None:
    result = check_design(design(feeder(), branch(cable=cable))).circuits["C1"]
    assert result.resistance is not None
    assert result.resistance.r20_ohm_per_km == expected


def test_two_conductors_in_parallel_lose_half() -> None:
    steady = lamp(kind=LoadKind.CONSTANT_CURRENT, current_a=5.0)
    one, two = (
        drop_of(
            design(feeder(), branch(cable=Cable(size=mm2(2.5), in_parallel=n), loads=(steady,)))
        )
        for n in (1, 2)
    )
    assert two.own_v == pytest.approx(one.own_v / 2, rel=0.01)


def test_the_closed_formulas_are_reported_with_the_current_at_nominal_voltage() -> None:
    """ISO 0.0164 · 5 A · 12 m / 2.5 mm² = 0.3936 V."""
    found = drop_of(design())
    closed = closed_formulas(branch(), current_a=found.nominal_a)
    assert closed is not None
    assert closed.iso_v == pytest.approx(0.3936)
    assert closed.iso_pct == pytest.approx(3.28)
    assert found.method == "network"
    assert closed_formulas(branch(route=None), current_a=found.nominal_a) is None


def test_every_state_is_solved_and_adds_up() -> None:
    states = tuple(OperatingState(id=name, label=name) for name in ("day", "night"))
    load = lamp(current_a_by_state={"night": 5.0})
    net = design(feeder(), branch(loads=(load,)), states=states, boards=(board(),))
    result = check_design(net)
    assert result.states["day"].circuit_a == {"F1": 0.0, "C1": 0.0}
    assert result.states["night"].circuit_a["F1"] == pytest.approx(5.25, abs=0.01)
    assert all((state.residual_a or 0.0) < 1e-9 for state in result.states.values())
