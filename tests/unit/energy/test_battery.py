"""Battery laws by chemistry, and charging from an alternator."""

import pytest

from electrical.core.energy.battery import BatteryLaw, battery_law, hours_by_rated_form
from electrical.core.energy.chargers import Limit, through_converter
from electrical.core.energy.chemistry import CONVENTIONS
from electrical.core.energy.day import Battery, Missing
from electrical.core.errors import BadInput
from electrical.core.sources import Chemistry
from electrical.core.status import SourceStatus


def law(**values: object) -> BatteryLaw:
    found = battery_law(Battery(**values))  # type: ignore[arg-type]
    assert isinstance(found, BatteryLaw)
    return found


def test_conventions_fill_what_the_maker_did_not_say() -> None:
    found = law(capacity_ah=200.0, chemistry=Chemistry.AGM)
    assert found.acceptance_a.value == pytest.approx(60.0)
    assert found.acceptance_a.status is SourceStatus.MEMORY
    assert found.floor == pytest.approx(0.5)
    assert found.rated_a == pytest.approx(10.0)


def test_makers_figures_prevail() -> None:
    found = law(
        capacity_ah=200.0,
        chemistry=Chemistry.LFP,
        usable_depth=0.9,
        acceptance_a=100.0,
        coulombic_efficiency=0.98,
    )
    assert (found.usable_depth.value, found.acceptance_a.value) == (0.9, 100.0)
    assert found.charge_efficiency.value == 0.98
    assert found.usable_depth.source == "as entered for this battery"


def test_rate_effect_is_for_lead_acid_only() -> None:
    assert law(capacity_ah=100.0, chemistry=Chemistry.LFP).exponent.value == 1.0
    assert law(capacity_ah=100.0, chemistry=Chemistry.FLOODED).exponent.value > 1.0


def test_missing_figures_are_named() -> None:
    assert battery_law(Battery(capacity_ah=None, chemistry=None)) == (
        Missing("Battery", "capacity"),
        Missing("Battery", "chemistry"),
    )


def test_faster_is_shorter_than_in_proportion() -> None:
    rated = hours_by_rated_form(capacity_ah=100.0, current_a=5.0, exponent=1.2)
    fast = hours_by_rated_form(capacity_ah=100.0, current_a=20.0, exponent=1.2)
    assert fast == pytest.approx(rated / 4.0**1.2)


def test_every_convention_names_a_status_and_stays_in_range() -> None:
    for row in CONVENTIONS.values():
        assert 0.0 < row.usable_depth.value <= 1.0
        assert 0.0 < row.coulombic_efficiency.value <= 1.0
        assert 1.0 <= row.peukert_exponent.value <= 1.4
        assert row.usable_depth.status in {SourceStatus.SECOND_HAND, SourceStatus.MEMORY}


def test_alternator_that_can_not_feed_the_charger_sets_the_current() -> None:
    charge = through_converter(
        alternator_a=40.0,
        engine_loads_a=8.0,
        output_a=30.0,
        input_v=14.0,
        output_v=28.0,
        efficiency=0.9,
    )
    assert charge.limit is Limit.ALTERNATOR
    assert charge.input_a == pytest.approx(20.0)
    assert charge.current_a == pytest.approx(20.0 * 14.0 * 0.9 / 28.0)


def test_nothing_to_spare_charges_nothing() -> None:
    charge = through_converter(
        alternator_a=10.0,
        engine_loads_a=20.0,
        output_a=30.0,
        input_v=14.0,
        output_v=14.0,
        efficiency=0.9,
    )
    assert charge.current_a == 0.0


def test_impossible_charger_is_refused() -> None:
    with pytest.raises(BadInput, match=r"^DC-DC charger: efficiency: 1\.2 is above 1$"):
        through_converter(
            alternator_a=40.0,
            engine_loads_a=8.0,
            output_a=30.0,
            input_v=14.0,
            output_v=14.0,
            efficiency=1.2,
        )
