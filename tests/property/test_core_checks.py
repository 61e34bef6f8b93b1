"""Properties of the electrical check: never crashes, longer or thinner or hotter is no better."""

from math import isfinite, log, pi, sqrt

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from electrical.core.ampacity import Surroundings, ambient_factor, ampacity
from electrical.core.check import check_design
from electrical.core.conductors import area_mm2, at_temperature, conductor_temp_c, resistance
from electrical.core.design import Design, Route
from electrical.core.drop import CMIL_PER_MM2, formula_circular_mils, iso_drop_v, us_drop_v
from electrical.core.findings import RuleSet, Severity
from electrical.core.parts import Cable, LoadKind
from electrical.core.sizes import awg, mm2
from electrical.core.tables import iec60228, iso10133
from electrical.core.tables.constants import (
    FOOT_M,
    ISO_DROP_OHM_MM2_PER_M,
    US_DROP_K_OHM_CMIL_PER_FT,
)
from electrical.core.tables.gauge import GAUGES, gauge_number
from tests.property.random_designs import designs
from tests.unit.core.designs import branch, design, feeder, lamp

SIZES = sorted(set(iso10133.TABLE) & set(iec60228.CLASS_5))
sizes = st.sampled_from(SIZES)
amperes = st.floats(0.1, 30.0)
metres = st.floats(0.1, 40.0)
kinds = st.sampled_from(LoadKind)


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(net=designs())
def test_random_vessels_never_crash_and_always_get_a_verdict(net: Design) -> None:
    result = check_design(net)
    assert set(result.circuits) == {circuit.id for circuit in net.circuits}
    assert set(result.states) == {state.id for state in net.states}
    for check in result.checks:
        assert check.message.endswith(".")
        assert "None" not in check.message
        assert check.value is None or isfinite(check.value)
        assert (check.severity is Severity.CANNOT_TELL) == bool(check.missing)


@settings(max_examples=20, deadline=None)
@given(net=designs())
def test_the_same_vessel_gets_the_same_verdict_twice(net: Design) -> None:
    assert check_design(net) == check_design(net)


def drop_v(*, size: float, length_m: float, current_a: float, kind: LoadKind) -> float:
    run = branch(
        cable=Cable(size=mm2(size)),
        route=Route(length_m=length_m),
        loads=(lamp(current_a=current_a, kind=kind),),
    )
    result = check_design(design(feeder(), run))
    found = result.circuits["C1"].drop
    return float("inf") if found is None else found.own_v


@settings(max_examples=60, deadline=None)
@given(size=sizes, length_m=metres, more_m=st.floats(0.1, 10), current_a=amperes, kind=kinds)
def test_longer_is_never_better(
    size: float, length_m: float, more_m: float, current_a: float, kind: LoadKind
) -> None:
    short = drop_v(size=size, length_m=length_m, current_a=current_a, kind=kind)
    long = drop_v(size=size, length_m=length_m + more_m, current_a=current_a, kind=kind)
    assert long >= short


@settings(max_examples=60, deadline=None)
@given(index=st.integers(1, len(SIZES) - 1), length_m=metres, current_a=amperes, kind=kinds)
def test_thinner_is_never_better(
    index: int, length_m: float, current_a: float, kind: LoadKind
) -> None:
    thick = drop_v(size=SIZES[index], length_m=length_m, current_a=current_a, kind=kind)
    thin = drop_v(size=SIZES[index - 1], length_m=length_m, current_a=current_a, kind=kind)
    assert thin >= thick


@given(r20=st.floats(1e-6, 100.0), cool_c=st.floats(-40, 290), more_c=st.floats(0, 10))
def test_hotter_copper_resists_more(r20: float, cool_c: float, more_c: float) -> None:
    hot_c = min(300.0, cool_c + more_c)
    assert at_temperature(r20_ohm=r20, temp_c=hot_c) >= at_temperature(r20_ohm=r20, temp_c=cool_c)


@given(
    insulation_c=st.sampled_from([60, 75, 90, 105, 200]),
    air_c=st.floats(-20, 100),
    more_c=st.floats(0, 40),
    conductors=st.integers(2, 40),
    more=st.integers(0, 10),
    rule_set=st.sampled_from(RuleSet),
    size=st.sampled_from([1.0, 2.5, 10.0, 35.0, 120.0]),
)
def test_hotter_or_fuller_surroundings_never_raise_ampacity(
    *,
    insulation_c: int,
    air_c: float,
    more_c: float,
    conductors: int,
    more: int,
    rule_set: RuleSet,
    size: float,
) -> None:
    cable = Cable(size=mm2(size), insulation_c=insulation_c)

    def allowed(air: float, count: int) -> float:
        around = Surroundings(ambient_c=air, grouped_conductors=count)
        return ampacity(cable=cable, rule_set=rule_set, around=around).deciding.corrected_a

    assert allowed(air_c + more_c, conductors + more) <= allowed(air_c, conductors)


@given(index=st.integers(1, len(SIZES) - 1), insulation_c=st.sampled_from([60, 85, 105]))
def test_a_thicker_conductor_never_carries_less(index: int, insulation_c: int) -> None:
    def allowed(size: float) -> float:
        cable = Cable(size=mm2(size), insulation_c=insulation_c)
        return ampacity(cable=cable, rule_set=RuleSet.ISO).deciding.corrected_a

    assert allowed(SIZES[index]) >= allowed(SIZES[index - 1])


@given(insulation_c=st.floats(60, 200), air_c=st.floats(-40, 200))
def test_the_heat_factor_is_a_share(insulation_c: float, air_c: float) -> None:
    assert 0.0 <= ambient_factor(insulation_c=insulation_c, ambient_c=air_c) <= 1.0


@given(current_a=st.floats(0, 1000), limit_a=st.floats(0, 1000), air_c=st.floats(-40, 80))
def test_conductor_temperature_stays_between_air_and_its_cap(
    current_a: float, limit_a: float, air_c: float
) -> None:
    temp_c = conductor_temp_c(
        ambient_c=air_c, insulation_c=105.0, current_a=current_a, ampacity_a=limit_a
    )
    assert air_c <= temp_c <= air_c + 2.25 * (105.0 - air_c) + 1e-9


@given(size=sizes, first_m=st.floats(0, 50), second_m=st.floats(0, 50))
def test_runs_in_series_add(size: float, first_m: float, second_m: float) -> None:
    def ohm(length_m: float) -> float:
        cable = Cable(size=mm2(size))
        return resistance(cable=cable, length_m=length_m, conductor_temp_c=50.0).loop_r_ohm

    assert abs(ohm(first_m) + ohm(second_m) - ohm(first_m + second_m)) < 1e-12 + 1e-9 * ohm(100)


@given(current_a=amperes, length_m=metres, size=st.floats(0.5, 200))
def test_both_drop_formulas_agree_but_for_their_constants(
    current_a: float, length_m: float, size: float
) -> None:
    """A unit round trip: mm² and metres through circular mils and feet."""
    iso_v = iso_drop_v(current_a=current_a, length_m=length_m, size_mm2=size)
    us_v = us_drop_v(current_a=current_a, length_m=length_m, circular_mils=size * CMIL_PER_MM2)
    us_constant = US_DROP_K_OHM_CMIL_PER_FT / CMIL_PER_MM2 / FOOT_M
    assert abs(us_v / iso_v - us_constant / ISO_DROP_OHM_MM2_PER_M) < 1e-9


@given(size=st.floats(0.5, 240.0))
def test_square_millimetres_come_back_from_circular_mils(size: float) -> None:
    assert formula_circular_mils(mm2(size)) / CMIL_PER_MM2 == pytest.approx(size, rel=1e-12)


@given(number=st.integers(0, len(GAUGES) - 1))
def test_a_gauge_comes_back_from_its_area(number: int) -> None:
    """ASTM B258: n = 36 - 39 ln(d / 0.005 in) / ln 92."""
    gauge = GAUGES[number]
    diameter_mm = 2.0 * sqrt(area_mm2(awg(gauge)) / pi)
    back = 36.0 - 39.0 * log(diameter_mm / (0.005 * 25.4)) / log(92.0)
    assert back == pytest.approx(gauge_number(gauge), abs=1e-9)
