"""Panels, regulators and strings in the cold."""

import pytest

from electrical.core.energy.solar import (
    Panels,
    Regulator,
    RegulatorKind,
    cold_string,
    panel_w,
)
from electrical.core.errors import BadInput, OutOfTable
from electrical.core.status import SourceStatus

PANELS = Panels(label="Panels", peak_w=100.0, count=4, in_series=2, open_circuit_v=22.0)
REGULATOR = Regulator(label="Regulator", max_input_v=50.0)


def test_power_falls_with_the_heat_of_the_cell() -> None:
    cool = panel_w(PANELS, light_kw_m2=1.0, air_c=0.0)
    hot = panel_w(PANELS, light_kw_m2=1.0, air_c=35.0)
    assert cool - hot == pytest.approx(400.0 * 0.85 * 0.004 * 35.0)


def test_no_light_gives_no_power() -> None:
    assert panel_w(PANELS, light_kw_m2=0.0, air_c=10.0) == 0.0


def test_tracking_regulator_passes_on_power() -> None:
    assert REGULATOR.amps_per_watt(PANELS, 13.8) == pytest.approx(0.95 / 13.8)


def test_switched_regulator_passes_on_the_panels_own_current() -> None:
    switched = Regulator(label="Regulator", kind=RegulatorKind.SWITCHED)
    panels = Panels(label="Panels", peak_w=100.0, max_power_v=18.0)
    assert switched.amps_per_watt(panels, 13.8) == pytest.approx(1 / 18.0)
    with pytest.raises(BadInput, match=r"^Panels: the voltage at rated power is needed"):
        switched.amps_per_watt(PANELS, 13.8)


@pytest.mark.parametrize("kind", list(RegulatorKind))
def test_a_string_below_the_battery_charges_nothing_and_says_why(kind: RegulatorKind) -> None:
    panels = Panels(label="Panels", peak_w=100.0, count=2, max_power_v=18.0)
    with pytest.raises(BadInput) as caught:
        Regulator(label="Regulator", kind=kind).amps_per_watt(panels, 27.6)
    assert str(caught.value) == (
        "Panels: a string gives 18 V at rated power, less than the 27.6 V at which the battery "
        "is charged; put more panels in series."
    )
    strung = Panels(label="Panels", peak_w=100.0, count=2, in_series=2, max_power_v=18.0)
    assert Regulator(label="Regulator", kind=kind).amps_per_watt(strung, 27.6) > 0.0


def test_string_on_the_coldest_morning_by_the_printed_factor() -> None:
    cold = cold_string(PANELS, REGULATOR, lowest_c=-7.0)
    assert cold is not None
    assert cold.string_v == pytest.approx(2 * 22.0 * 1.14)
    assert cold.factor.status is SourceStatus.MEMORY
    assert cold.is_within is False


def test_string_by_the_makers_coefficient() -> None:
    panels = Panels(
        label="Panels",
        peak_w=100.0,
        count=2,
        in_series=2,
        open_circuit_v=22.0,
        voltage_coefficient_per_c=-0.003,
    )
    cold = cold_string(panels, REGULATOR, lowest_c=-5.0)
    assert cold is not None
    assert cold.string_v == pytest.approx(44.0 * 1.09)
    assert cold.is_within is True


def test_unknown_voltage_or_limit_can_not_be_judged() -> None:
    bare = Panels(label="Panels", peak_w=100.0)
    assert cold_string(bare, REGULATOR, lowest_c=0.0) is None
    free = cold_string(PANELS, Regulator(label="Regulator"), lowest_c=0.0)
    assert free is not None
    assert free.is_within is None


def test_colder_than_the_printed_table_is_refused() -> None:
    with pytest.raises(OutOfTable):
        cold_string(PANELS, REGULATOR, lowest_c=-41.0)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"count": 3, "in_series": 2}, "Panels: 3 panels can not make strings of 2."),
        ({"tilt_deg": 91.0}, "Panels: tilt: 91 deg is above 90 deg"),
        ({"peak_w": 0.0}, "Panels: panel power: 0 W is below 0.1 W"),
        ({"open_circuit_v": 900.0}, "Panels: open-circuit voltage: 900 V is above 200 V"),
        (
            {"voltage_coefficient_per_c": -0.00003},
            "Panels: voltage coefficient: -0.003 %/°C is outside -1 to -0.05 %/°C.",
        ),
        (
            {"voltage_coefficient_per_c": 0.0},
            "Panels: voltage coefficient: 0 %/°C is outside -1 to -0.05 %/°C.",
        ),
    ],
)
def test_impossible_panels_are_refused(changes: dict[str, float], message: str) -> None:
    with pytest.raises(BadInput) as caught:
        Panels(**({"label": "Panels", "peak_w": 100.0} | changes))  # type: ignore[arg-type]
    assert str(caught.value) == message
