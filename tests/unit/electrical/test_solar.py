"""Solar panels: their leads, their sun, and their voltage in the cold."""

from decimal import Decimal

import pytest

from catalogue.models import Part, RegulatorData, SolarPanelData
from electrical.check import check
from electrical.core.energy.autonomy import AutonomyVerdict
from electrical.core.energy.sunshine import PanelDay, slope_gain
from electrical.core.findings import Finding, Severity
from electrical.core.tables import voc_cold
from electrical.day_plans import set_home_port
from electrical.devices import tell
from electrical.energy_page import EnergyPage
from electrical.models import HomePort, OperatingState
from electrical.reckoning import Reckoner
from electrical.wiring.wire_up import wire_up
from electrical.worked_out import CannotWorkOut
from electrical.year import running
from electrical.year.inputs import inputs_of
from electrical.year.ports import set_year
from fitout.jobs.models import Job
from fitout.kit.models import Role, User
from tests.factories.electrical import make_load, make_small_vessel, put, set_day
from tests.factories.jobs import make_part
from tests.factories.people import make_user

pytestmark = pytest.mark.django_db


def make_panel(*, voc_v: str = "22", coefficient: str | None = None) -> Part:
    part = make_part(description="Solar panel", kind="solar_panel", category="solar")
    SolarPanelData.objects.create(
        part=part,
        power_w=Decimal("120"),
        voc_v=Decimal(voc_v),
        isc_a=Decimal("7"),
        vmp_v=Decimal("18"),
        voc_coefficient_pct_per_c=Decimal(coefficient) if coefficient else None,
    )
    return part


def make_regulator(*, max_input_v: str = "75", max_input_a: str | None = "15") -> Part:
    part = make_part(description="Solar regulator", kind="regulator", category="solar")
    RegulatorData.objects.create(
        part=part,
        matching="tracking",
        max_input_v=Decimal(max_input_v),
        max_input_a=Decimal(max_input_a) if max_input_a else None,
        nominal_v=Decimal("12"),
        output_a=Decimal("15"),
    )
    return part


@pytest.fixture
def by() -> User:
    return make_user(role=Role.ESTIMATOR)


def wired(by: User, panel: Part, regulator: Part) -> Job:
    fridge = make_load("Fridge", current_a="4", duty="0.25")
    job = make_small_vessel(by, loads=[(panel, "RF"), (regulator, "BL"), (fridge, "HM")])
    wire_up(job, by)
    return job


def cold_finding(job: Job) -> Finding:
    return next(f for f in check(job).own if f.rule_id == "cold-string")


def test_panel_and_regulator_each_get_a_charging_lead(by: User) -> None:
    job = wired(by, make_panel(), make_regulator())
    names = {
        (circuit.origin.kind, device.kind)
        for circuit in job.circuits.filter(role="charging")
        for device in circuit.devices.all()
    }
    assert names == {("solar_panel", "regulator"), ("regulator", "busbar")}
    stops = [f.message for f in check(job).findings if f.severity is Severity.STOP]
    assert stops == []


def test_without_the_lowest_temperature_it_cannot_tell(by: User) -> None:
    finding = cold_finding(wired(by, make_panel(), make_regulator()))
    assert finding.severity is Severity.CANNOT_TELL
    assert finding.missing == ("lowest temperature at the home port",)


def test_the_makers_coefficient_decides(by: User) -> None:
    # 22 V × (1 − 0.3 % × (−15 − 25)) = 22 × 1.12 = 24.64 V
    job = wired(by, make_panel(coefficient="-0.3"), make_regulator(max_input_v="24"))
    set_home_port(job, by=by, lowest_c=-15)
    finding = cold_finding(job)
    assert finding.severity is Severity.STOP
    assert finding.value == pytest.approx(24.64)
    assert "24.6 V at -15 °C; its regulator stands 24 V" in finding.message


def test_without_a_coefficient_the_printed_factor_decides(by: User) -> None:
    # NFPA 70, Table 690.7(A), from memory: −15 °C gives 1.16.
    job = wired(by, make_panel(), make_regulator())
    set_home_port(job, by=by, lowest_c=-15)
    finding = cold_finding(job)
    assert finding.severity is Severity.PASS
    assert finding.value == pytest.approx(22 * 1.16)
    assert finding.clause == voc_cold.CLAUSE


def test_the_sun_brings_amp_hours_back(by: User) -> None:
    # 120 W × 2.5 kWh/m² a day × 0.75 ÷ 12 V = 18.75 Ah delivered; AGM gives 90 % of it back.
    job = wired(by, make_panel(), make_regulator())
    hours = dict.fromkeys(OperatingState.values, Decimal(0)) | {"at_anchor": Decimal(24)}
    set_day(job, hours, by)
    assert check(job).energy.autonomy.days_with_charging is None
    set_home_port(job, by=by, irradiation_kwh_m2_day=Decimal("2.5"))
    energy = check(job).energy
    assert energy.balance.charge_ah == pytest.approx(18.75 * 0.9)
    assert energy.autonomy.days_with_charging == pytest.approx(50 / (24.1 - 16.875))


def test_a_string_below_the_battery_brings_nothing_in_the_day_as_in_the_year(by: User) -> None:
    """13 V at rated power do not charge a battery at 13.8 V, in either sum."""
    job = wired(by, make_panel(), make_regulator())
    SolarPanelData.objects.update(vmp_v=Decimal(13))
    set_day(job, dict.fromkeys(OperatingState.values, Decimal(0)) | {"at_anchor": Decimal(24)}, by)
    set_home_port(job, by=by, irradiation_kwh_m2_day=Decimal("2.5"))
    months = {month: (Decimal(3), Decimal(10)) for month in range(1, 13)}
    version = HomePort.objects.get(job=job).version
    set_year(job, by=by, version=version, latitude_deg=Decimal(40), source="Table", months=months)
    checked = check(job)
    (solar,) = [one for one in checked.energy.charging if one.charger.charger_id == "solar"]
    words = (
        "a string gives 13 V at rated power, less than the 13.8 V at which the battery is "
        "charged; put more panels in series."
    )
    assert solar.why.startswith("Cannot tell: ") and solar.why.endswith(words)
    assert checked.energy.balance.charge_ah == 0.0
    assert checked.energy.autonomy.verdict_with_charging is AutonomyVerdict.CANNOT_TELL
    missing = [(gap.subject, gap.field) for gap in checked.energy.autonomy.missing]
    assert missing == [("Solar panels, 120 W", "panels in series")]
    page = EnergyPage(checked.facts, checked.energy)
    (step,) = [one for one in page.steps if one.name == "Put in by the sun"]
    assert step.value == "not known" and words.rstrip(".") in step.formula
    with pytest.raises(CannotWorkOut) as year:
        running.run(inputs_of(checked.facts), draws=2)
    assert str(year.value) == solar.why.replace("Cannot tell: ", "Cannot tell. ")


def test_a_panel_beyond_any_is_a_finding_not_a_failure(by: User) -> None:
    job = wired(by, make_panel(voc_v="999"), make_regulator())
    set_home_port(job, by=by, lowest_c=-15)
    found = cold_finding(job)
    assert found.severity is Severity.CANNOT_TELL
    assert "open-circuit voltage" in found.message


@pytest.mark.parametrize(
    ("max_input_a", "severity"),
    [("14", Severity.PASS), ("13.9", Severity.STOP), (None, Severity.CANNOT_TELL)],
)
def test_panels_give_their_regulator_no_more_current_than_it_stands(
    by: User, max_input_a: str | None, severity: Severity
) -> None:
    """Two panels of 7 A in a short."""
    regulator = make_regulator(max_input_a=max_input_a)
    job = wired(by, make_panel(), regulator)
    put(job, Part.objects.get(kind="solar_panel"), "RF", by=by)
    wire_up(job, by)
    (found,) = [one for one in check(job).own if one.rule_id == "regulator-input"]
    assert found.severity is severity
    assert found.value == (None if max_input_a is None else 14.0)
    assert not max_input_a or "up to 14.0 A in a short" in found.message


def sloped(by: User, *, latitude_deg: Decimal | None = Decimal(50)) -> Job:
    job = wired(by, make_panel(), make_regulator())
    put(job, Part.objects.get(kind="solar_panel"), "RF", by=by)
    set_home_port(job, by=by, irradiation_kwh_m2_day=Decimal("2.5"))
    months = {month: (Decimal(3), Decimal(10)) for month in range(1, 13)}
    port = HomePort.objects.get(job=job)
    set_year(
        job, by=by, version=port.version, latitude_deg=latitude_deg, source="Table", months=months
    )
    panel = job.devices.filter(kind="solar_panel").order_by("pk").first()
    assert panel is not None
    tell(panel, by=by, version=panel.version, tilt_deg=40, facing_deg=180)
    return job


def test_the_mean_day_has_the_sun_on_the_slope_as_the_year(by: User) -> None:
    """One of two alike panels at 40° to the south: the mean of its gain and of the flat's 1."""
    checked = check(sloped(by))
    (solar,) = [one for one in checked.energy.charging if one.charger.charger_id == "solar"]
    stands = PanelDay(latitude_deg=50.0, tilt_deg=40.0, azimuth_deg=180.0)
    gain = (slope_gain(stands, [3.0] * 12) + 1.0) / 2.0
    assert gain > 1.05
    assert solar.charger.irradiation_kwh_m2_day == pytest.approx(2.5 * gain)
    assert f"× {gain:.3g} for how the panels stand, month by month as in the year" in solar.why


def test_a_slope_without_a_latitude_is_left_out_and_said_so(by: User) -> None:
    checked = check(sloped(by, latitude_deg=None))
    (solar,) = [one for one in checked.energy.charging if one.charger.charger_id == "solar"]
    assert solar.charger.irradiation_kwh_m2_day == pytest.approx(2.5)
    assert "slopes left out until latitude and sun of twelve months are told" in solar.why


def test_power_that_is_not_told_is_found_from_area_and_efficiency(by: User) -> None:
    panel = make_panel()
    SolarPanelData.objects.filter(part=panel).update(
        power_w=None, area_m2=Decimal("0.6"), efficiency_pct=Decimal(20)
    )
    job = wired(by, panel, make_regulator())
    set_home_port(job, by=by, irradiation_kwh_m2_day=Decimal("2.5"))
    (solar,) = [o for o in check(job).energy.charging if o.charger.charger_id == "solar"]
    assert solar.charger.peak_w == pytest.approx(120.0)


@pytest.mark.parametrize(("area_m2", "is_found"), [("0.48", False), ("0.47", True)])
def test_more_power_than_an_area_can_give_is_a_finding(
    by: User, area_m2: str, is_found: bool
) -> None:
    panel = make_panel()
    SolarPanelData.objects.filter(part=panel).update(area_m2=Decimal(area_m2))
    checked = check(wired(by, panel, make_regulator()))
    found = [f for f in checked.own if f.rule_id == "panel-area"]
    assert bool(found) is is_found
    assert all(Reckoner(checked).of(one).value is not None for one in found)
    assert all("no panel gives more than 250 W" in one.message for one in found)
