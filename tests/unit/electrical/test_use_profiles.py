"""Use profiles of a job: which one decides, what the strip says, what the demo tells."""

from datetime import date
from decimal import Decimal

import pytest

from catalogue.models import InverterData
from electrical.check import check
from electrical.core.energy.autonomy import AutonomyVerdict
from electrical.core.energy.profiles import days_by_month
from electrical.core.findings import Severity
from electrical.day_plans import ASSUMED_AFLOAT, ASSUMED_NAME, add_profile, set_duties
from electrical.demo_use import tell_use
from electrical.energy_page import EnergyPage, comes
from electrical.facts import load_facts
from electrical.models import Device, EnergyYear, OperatingState, UseProfile
from electrical.wiring.wire_up import wire_up
from electrical.year.page import YearPage
from fitout.jobs.models import Job, Vessel
from fitout.kit.models import User
from fitout.knockon import difference, figures
from tests.factories.electrical import make_load, make_small_vessel
from tests.factories.jobs import make_part

pytestmark = pytest.mark.django_db
TODAY = date(2026, 3, 2)
ANCHOR = (OperatingState.AT_ANCHOR.value,) * 24
IDLE = (OperatingState.IDLE.value,) * 24


@pytest.fixture
def by(estimator: User) -> User:
    return estimator


@pytest.fixture
def job(by: User) -> Job:
    """100 Ah of AGM, half of it usable, and 4 A on a quarter of the time but laid up."""
    fridge = make_load("Fridge", current_a="4", duty="0.25")
    job = make_small_vessel(by, loads=[(fridge, "HM")])
    wire_up(job, by)
    set_duties(Device.objects.get(job=job, name="Fridge"), {"idle": Decimal(0)}, by)
    return job


def add(job: Job, by: User, name: str, states: tuple[str, ...], days: str = "1") -> UseProfile:
    return add_profile(job, by=by, name=name, states=states, days_per_week=Decimal(days))


def test_without_a_profile_a_day_is_assumed_and_told_as_assumed(job: Job) -> None:
    (energy,) = check(job).energies
    assert energy.is_plan_assumed
    assert energy.is_clock_assumed
    assert (energy.profile.name, energy.profile.states) == (ASSUMED_NAME, ASSUMED_AFLOAT)
    assert figures(job, today=TODAY).use_profile == ""


def test_the_profile_with_fewest_days_decides_everywhere(job: Job, by: User) -> None:
    add(job, by, "Laid up", IDLE, "5")
    add(job, by, "Half a day", (*ANCHOR[:12], *IDLE[:12]))
    before = figures(job, today=TODAY)
    assert (before.use_profile, before.use_ah) == ("Half a day", Decimal(12))
    add(job, by, "Night at anchor", ANCHOR)
    Job.objects.filter(pk=job.pk).update(autonomy_asked_days=Decimal(3))
    job.refresh_from_db()
    checked = check(job)
    assert [one.autonomy.days for one in checked.energies] == [
        None,
        pytest.approx(50 / 12.1),
        pytest.approx(50 / 24.1),
    ]
    assert checked.energy.profile.name == "Night at anchor"
    assert checked.energy.severity is Severity.ATTENTION
    assert "on “Night at anchor” do not meet the 3 days" in checked.energy.sentence
    after = figures(job, today=TODAY)
    assert (after.use_profile, after.use_ah) == ("Night at anchor", Decimal(24))
    assert after.autonomy_days == Decimal("2.1")
    moves = difference(before, after)
    assert moves["use_ah"].delta == 12
    assert "use_profile" not in moves
    assert type(after).restored(after.stored()) == after


def test_what_cannot_be_told_is_worse_than_any_figure(by: User) -> None:
    """Nobody has told how long the inverter is on at anchor; laid up it is off."""
    inverter = make_part(description="Inverter", kind="inverter", category="converters")
    told = {"input_v": Decimal(12), "output_w": Decimal(1000), "efficiency_pct": Decimal(90)}
    InverterData.objects.create(part=inverter, **told)
    fridge = make_load("Fridge", current_a="4")
    job = make_small_vessel(by, loads=[(inverter, "HM"), (fridge, "HM")])
    set_duties(Device.objects.get(job=job, name="Fridge"), {"idle": Decimal("0.5")}, by)
    add(job, by, "Laid up", IDLE, "6")
    add(job, by, "Night at anchor", ANCHOR)
    laid_up, at_anchor = check(job).energies
    assert laid_up.autonomy.verdict is AutonomyVerdict.LASTS
    assert at_anchor.autonomy.verdict is AutonomyVerdict.CANNOT_TELL
    assert check(job).energy.profile.name == "Night at anchor"


def test_the_day_is_followed_hour_by_hour(job: Job, by: User) -> None:
    add(job, by, "Half a day", (*IDLE[:6], *ANCHOR[:12], *IDLE[:6]))
    energy = check(job).energy
    assert sum(hour.use_ah for hour in energy.hours) == pytest.approx(energy.balance.use_ah)
    assert energy.deepest.hour == 17
    assert energy.deepest.below_full_ah == pytest.approx(12.0)


@pytest.mark.parametrize(
    ("days", "season", "words"),
    [
        ("7", (None, None), ""),
        ("5", (None, None), "2 days a week have no use profile; the year takes them"),
        ("6", (5, 5), "1 day a week has no use profile in May"),
    ],
)
def test_days_without_a_profile_are_told(
    job: Job, by: User, days: str, season: tuple[int | None, int | None], words: str
) -> None:
    add_profile(job, by=by, name="Day", states=ANCHOR, days_per_week=Decimal(days), season=season)
    checked = check(job)
    page = EnergyPage(checked.facts, checked.energy, checked.energies)
    notes = " ".join(page.week_notes)
    assert words in notes
    assert bool(words) == bool(notes)
    assert ("No use profile holds in January" in notes) == (season == (5, 5))


def test_a_season_over_the_turn_of_the_year_is_told_in_order(job: Job, by: User) -> None:
    add_profile(job, by=by, name="Winter day", states=ANCHOR, season=(11, 2))
    (day,) = load_facts(job).days
    assert day.months == {11, 12, 1, 2}
    assert comes(day) == "7 days a week, November to February"


def test_a_year_run_before_there_were_profiles_is_still_shown() -> None:
    month = {"month": 1, "low": [1.0] * 24, "middle": [1.0] * 24, "high": [1.0] * 24}
    months = [
        month
        | {
            "month": n,
            "floor_chance": 0.0,
            "chance_error": 0.0,
            "days_to_floor": None,
            "solar_ah_day": 1.0,
            "can_charge": True,
        }
        for n in range(1, 13)
    ]
    page = YearPage(EnergyYear(found={"months": months, "states": list(ANCHOR), "tried": {}}), 3)
    assert page.hours[5].states == (("State", "At anchor"),)
    assert page.months[0].use == ""


@pytest.mark.parametrize("name", ["Terrapin", "Saffron", "Hedgerow", "Dulse"])
def test_each_demo_vessel_has_a_full_week_in_every_month(job: Job, by: User, name: str) -> None:
    Vessel.objects.filter(pk=job.vessel_id).update(name=name)
    fresh = Job.objects.get(pk=job.pk)
    tell_use(fresh, by)
    tell_use(fresh, by)
    days = load_facts(fresh).days
    assert len(days) >= 2
    assert set(days_by_month(days)) == {7.0}
