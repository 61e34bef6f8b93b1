"""The energy of a job over a year: what it is worked out from, the run, what is missing."""

import re
import subprocess
import sys
from datetime import UTC, datetime
from decimal import Decimal

import pytest

from catalogue.models import BatteryData, Part, RegulatorData
from electrical.check import check
from electrical.day_plans import add_profile, set_duties, set_home_port
from electrical.demo import AIR_BY_MONTH, SUN_BY_MONTH
from electrical.devices import tell
from electrical.facts import load_facts
from electrical.models import Device, HomePort, OperatingState, UseProfile, WorkStatus
from electrical.wiring.wire_up import wire_up
from electrical.worked_out import CannotWorkOut
from electrical.year import running
from electrical.year.drawing import band, chances
from electrical.year.inputs import YearInputs, inputs_of
from electrical.year.page import YearPage, percent
from electrical.year.ports import months_of, set_year
from fitout.jobs.models import Job
from fitout.kit.models import AuditEntry, StaleVersion, User
from fitout.kit.undo import undo
from tests.factories.electrical import make_load, make_small_vessel, put, set_day
from tests.unit.electrical.test_solar import make_panel, make_regulator

pytestmark = pytest.mark.django_db
AT = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
MONTHS = {
    month: (Decimal(str(sun)), Decimal(air))
    for month, (sun, air) in enumerate(zip(SUN_BY_MONTH, AIR_BY_MONTH, strict=True), start=1)
}


@pytest.fixture
def by(estimator: User) -> User:
    return estimator


@pytest.fixture
def job(by: User) -> Job:
    """Lying at anchor with a refrigerator of 24 Ah a day, one panel and a 100 Ah battery."""
    fridge = make_load("Fridge", current_a="4", duty="0.25")
    loads = [(make_panel(), "RF"), (make_regulator(), "BL"), (fridge, "HM")]
    job = make_small_vessel(by, loads=loads)
    wire_up(job, by)
    hours = dict.fromkeys(OperatingState.values, Decimal(0)) | {"at_anchor": Decimal(24)}
    set_day(job, hours, by)
    return job


def with_port(job: Job, by: User, **changes: object) -> HomePort:
    values: dict[str, object] = {
        "latitude_deg": Decimal("51.5"),
        "source": "invented",
        "months": MONTHS,
        "version": None,
    }
    return set_year(job, by=by, **(values | changes))  # type: ignore[arg-type]


def inputs(job: Job) -> YearInputs:
    return inputs_of(load_facts(job))


# What it is worked out from.


def test_a_change_of_how_often_a_profile_comes_shows_in_the_stamp(job: Job, by: User) -> None:
    with_port(job, by)
    before = inputs(job).stamp
    row = UseProfile.objects.get(job=job)
    row.days_per_week = Decimal(4)
    row.save()
    assert inputs(job).stamp != before


def test_the_year_is_drawn_from_the_mix_of_profiles(job: Job, by: User) -> None:
    """24 Ah at anchor five days a week, nothing on the other two from May to September."""
    with_port(job, by)
    UseProfile.objects.filter(job=job).update(days_per_week=Decimal(5))
    add_profile(
        job, by=by, name="Away", states=("idle",) * 24, days_per_week=Decimal(2), season=(5, 9)
    )
    duties = {state: Decimal(0) for state in OperatingState.values} | {"at_anchor": Decimal("0.25")}
    set_duties(Device.objects.get(job=job, name="Fridge"), duties, by)
    found = running.run(inputs(job), draws=4)
    use = [month["use_ah_day"] for month in found["months"]]
    assert use[0] == pytest.approx(24.0)
    assert use[6] == pytest.approx(24.0 * 5 / 7)
    assert [one["name"] for one in found["profiles"]] == ["Day", "Away"]


def test_a_month_without_a_profile_is_named_with_the_place_to_tell_it(job: Job, by: User) -> None:
    with_port(job, by)
    UseProfile.objects.filter(job=job).update(first_month=3, last_month=11)
    (gap,) = inputs(job).gaps
    assert (gap.words, gap.is_use) == (
        "Use profile that holds in January, February, December",
        True,
    )
    with pytest.raises(CannotWorkOut, match="Use profile that holds in January"):
        running.run(inputs(job))


def test_each_missing_figure_is_named_with_the_place_to_tell_it(job: Job, by: User) -> None:
    words = [gap.words for gap in inputs(job).gaps]
    assert words == [
        "Home port: latitude",
        "Home port: mean irradiation of every month",
        "Home port: mean temperature of every month",
    ]
    with_port(job, by, months={**MONTHS, 3: (None, Decimal(8))})
    assert [gap.words for gap in inputs(job).gaps] == ["Home port: mean irradiation of March"]
    with pytest.raises(CannotWorkOut, match="mean irradiation of March"):
        running.run(inputs(job))


def test_a_change_shows_in_the_stamp(job: Job, by: User) -> None:
    with_port(job, by)
    before = inputs(job).stamp
    assert inputs(job).stamp == before
    set_day(job, dict.fromkeys(OperatingState.values, Decimal(0)) | {"idle": Decimal(24)}, by)
    assert inputs(job).stamp != before


# The run.


def test_a_dark_month_is_worse_than_a_bright_one_and_more_of_either_helps(
    job: Job, by: User
) -> None:
    with_port(job, by)
    found = running.run(inputs(job), draws=60)
    chance = [month["floor_chance"] for month in found["months"]]
    assert chance[11] > chance[5]
    assert found["months"][5]["solar_ah_day"] > found["months"][11]["solar_ah_day"] > 0.0
    assert set(found["tried"]) == {"panel", "battery", "carried"}
    for name in ("panel", "battery"):
        with_more = [month["floor_chance"] for month in found["tried"][name]["months"]]
        assert all(more <= less for more, less in zip(with_more, chance, strict=True))
    lived_on = [month["floor_chance"] for month in found["tried"]["carried"]["months"]]
    assert all(more >= less for more, less in zip(lived_on, chance, strict=True))


def test_days_without_sun_agree_with_the_sum_by_hand(by: User) -> None:
    """80 % of 100 Ah of the AGM convention's half, at 24 Ah a day: a little over two days."""
    fridge = make_load("Fridge", current_a="4", duty="0.25")
    job = make_small_vessel(by, loads=[(fridge, "HM")])
    wire_up(job, by)
    hours = dict.fromkeys(OperatingState.values, Decimal(0)) | {"at_anchor": Decimal(24)}
    set_day(job, hours, by)
    with_port(job, by)
    energy = check(job).energy
    usable_ah = energy.autonomy.usable_ah
    assert usable_ah is not None
    by_hand_d = usable_ah / energy.balance.use_ah
    found = running.run(inputs(job), draws=4)
    assert "panel" not in found["tried"]
    for month in found["months"]:
        assert month["floor_chance"] == 1.0
        # Rest loses a few amp-hours a month; the run tells whole hours.
        assert month["days_to_floor"] == pytest.approx(by_hand_d, abs=0.08)


def test_a_slope_towards_the_sun_helps_in_winter_and_one_away_harms(job: Job, by: User) -> None:
    with_port(job, by)

    def december_ah(**mounted: int | None) -> float:
        panel = Device.objects.get(job=job, kind="solar_panel")
        tell(panel, by=by, version=panel.version, **mounted)
        found = running.run(inputs(job), draws=4)
        return float(found["months"][11]["solar_ah_day"])

    flat = december_ah(tilt_deg=None, facing_deg=None)
    south = december_ah(tilt_deg=50, facing_deg=180)
    swinging = december_ah(tilt_deg=50, facing_deg=None)
    north = december_ah(tilt_deg=50, facing_deg=0)
    assert south > 1.5 * flat
    assert north < flat
    assert north < swinging < south
    assert inputs(job).panels[0].stands == "at 50°, facing 0° from north over east"


def test_a_switched_regulator_passes_on_the_panels_own_current(job: Job, by: User) -> None:
    """120 W at 18 V into 13.8 V: a tracking one of 95 % gives 0.95 × 18 / 13.8 as much."""
    with_port(job, by)
    offered = {}
    for matching in ("tracking", "switched"):
        RegulatorData.objects.update(matching=matching)
        found = running.run(inputs(job), draws=4)
        offered[matching] = found["months"][11]["solar_ah_day"]
        assert any(line.endswith(f"{matching}.") for line in found["sources"])
    assert offered["tracking"] / offered["switched"] == pytest.approx(0.95 * 18 / 13.8, rel=1e-3)


def test_a_regulator_nobody_knows_enough_of_is_asked_about(job: Job, by: User) -> None:
    with_port(job, by)
    RegulatorData.objects.update(matching="")
    (gap,) = inputs(job).gaps
    assert gap.words.endswith("tracking or switched, told with the part in the catalogue")
    with pytest.raises(CannotWorkOut, match="tracking or switched"):
        running.run(inputs(job))


def test_panels_that_stand_otherwise_are_counted_apart(job: Job, by: User) -> None:
    put(job, Part.objects.get(kind="solar_panel"), "RF", by=by)
    wire_up(job, by)
    (both,) = inputs(job).panels
    assert (both.count, both.stands) == (2, "flat")
    panel = Device.objects.filter(job=job, kind="solar_panel")[0]
    tell(panel, by=by, version=panel.version, tilt_deg=30, facing_deg=None)
    one, other = inputs(job).panels
    assert {one.stands, other.stands} == {"flat", "at 30°, swinging through all headings"}
    # A regulator's output is shared by what it serves.
    assert one.output_a + other.output_a == pytest.approx(both.output_a)
    assert {*one.device_ids, *other.device_ids} == set(both.device_ids)


def test_what_the_batterys_maker_says_is_run_with_and_told(job: Job, by: User) -> None:
    BatteryData.objects.update(rated_h=10, min_charge_temp_c=14)
    with_port(job, by)
    found = running.run(inputs(job), draws=4)
    cold = [month["month"] for month in found["months"] if not month["can_charge"]]
    assert cold == [n for n, air in enumerate(AIR_BY_MONTH, start=1) if float(air) < 14]
    assert 0 < len(cold) < 12
    told = " ".join(found["sources"])
    assert "Coldest it may be charged: 14\N{NO-BREAK SPACE}°C" in told
    assert "as entered for this battery" in told
    assert "at each month's mean: nights below 14\N{NO-BREAK SPACE}°C in a month" in told
    assert "Rate effect over 10 h" in told
    assert "Lost at rest: 3\N{NO-BREAK SPACE}% of the capacity in a month" in told
    assert "Charging tapers from 80\N{NO-BREAK SPACE}% of full" in told
    assert "cells at 45\N{NO-BREAK SPACE}°C" in told


def test_sun_no_latitude_can_have_is_refused_by_month(job: Job, by: User) -> None:
    with_port(job, by, months={**MONTHS, 12: (Decimal("9"), Decimal(8))})
    with pytest.raises(CannotWorkOut, match=r"Irradiation in December: 9 kWh/m² a day is outside"):
        running.run(inputs(job))


def test_it_is_kept_for_the_job_and_trouble_too(job: Job, by: User) -> None:
    year = running.make(running.ask_for(job, by=by, at=AT), now=AT)
    assert year.status == WorkStatus.FAILED
    assert year.trouble.startswith("Cannot tell. Missing: Home port: latitude")
    with_port(job, by)
    again = running.make(running.ask_for(job, by=by, at=AT), now=AT)
    assert again.status == WorkStatus.READY
    assert again.stamp == inputs(job).stamp
    assert job.energy_years.count() == 1
    page = YearPage(again)
    assert len(page.months) == 12
    assert len(page.hours) == 24
    assert page.chosen == page.worst
    assert YearPage(again, 7).chosen_name == "July"


def test_no_page_of_the_wiring_loads_numpy() -> None:
    code = (
        "import django, sys; django.setup(); import fitout.urls, electrical.tasks; "
        "sys.exit('numpy' in sys.modules)"
    )
    command = [sys.executable, "-c", code]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_charts_hold_their_figures(job: Job, by: User) -> None:
    with_port(job, by)
    found = running.run(inputs(job), draws=8)
    assert chances(found["months"], 3).count("<rect") == 12
    drawn = band(found["months"][0], found["floor"])
    assert 'class="area"' in drawn
    assert 'class="limit"' in drawn
    label = re.search(r'<text x="([\d.]+)" y="([\d.]+)" text-anchor="start">floor<', drawn)
    area = re.search(r'class="area" d="M([^"]+) Z"', drawn)
    limit = re.search(r'class="limit" d="M[\d.]+,([\d.]+) H([\d.]+)"', drawn)
    assert label is not None and area is not None and limit is not None
    right = max(float(point.split(",")[0]) for point in area[1].split(" L"))
    assert float(label[1]) > float(limit[2]) > right
    assert float(label[2]) == pytest.approx(float(limit[1]) + 4.0, abs=0.1)
    assert percent(0.001) == "under 1\N{NO-BREAK SPACE}%"


# The port.


def test_the_year_at_the_port_is_one_change_beside_sun_and_cold(job: Job, by: User) -> None:
    port = set_home_port(job, by=by, lowest_c=-6)
    stored = with_port(job, by, version=port.version)
    assert stored.lowest_c == -6
    assert months_of(stored) == MONTHS
    with pytest.raises(StaleVersion):
        with_port(job, by, version=port.version)
    undo(AuditEntry.objects.latest("pk"), by=by)
    assert months_of(HomePort.objects.get(job=job)) == {}


@pytest.mark.parametrize(
    ("share", "text"),
    [(0.0, "0"), (0.002, "under 1"), (0.5, "50"), (0.998, "over 99"), (1.0, "100")],
)
def test_a_chance_that_is_neither_none_nor_all_is_not_told_as_such(share: float, text: str) -> None:
    assert percent(share) == f"{text}\N{NO-BREAK SPACE}%"
