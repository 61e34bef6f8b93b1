"""What makers tell of inputs, starts and cables is asked by the check of the wiring."""

from decimal import Decimal
from typing import Any

import pytest

from catalogue.models import BusbarData, CableData, InverterData, Part, ProtectiveDeviceData
from electrical.adapters.loads import LOWEST_ASSUMED
from electrical.cableway_room import room_of
from electrical.check import Checked, check
from electrical.core.conductors import MAKER_CLAUSE
from electrical.core.findings import Severity
from electrical.core.results import CircuitResult
from electrical.core.status import SourceStatus
from electrical.documents import circuit_list
from electrical.listing import REPLACE_IT, RESET_IT, after_opening, cable_text
from electrical.models import Circuit
from electrical.needs import needs
from electrical.wiring.wire_up import wire_up
from electrical.working import Step, working_of
from fitout.jobs.models import Job
from fitout.kit.models import User
from tests.factories.electrical import make_battery, make_charger, make_load, make_small_vessel, put
from tests.factories.jobs import make_part

pytestmark = pytest.mark.django_db


@pytest.fixture
def by(estimator: User) -> User:
    return estimator


def steps(checked: Checked, circuit: Circuit, title: str) -> dict[str, Step]:
    (section,) = [one for one in working_of(checked, circuit) if one.title == title]
    return {step.name: step for step in section.steps}


def with_charger(by: User, **data: Any) -> tuple[Job, Circuit]:
    job = make_small_vessel(by)
    put(job, make_battery("Start battery", use="start"), "EW", by=by)
    put(job, make_charger(**data), "BL", by=by)
    wire_up(job, by)
    return job, Circuit.objects.get(job=job, role="converter")


@pytest.mark.parametrize(
    ("told_v", "lowest_v", "source"),
    [
        (Decimal(11), 11.0, "data of the parts"),
        (
            None,
            10.5,
            f"lowest input voltage taken as {LOWEST_ASSUMED}",
        ),
    ],
)
def test_a_charger_is_wired_for_its_lowest_input(
    by: User, told_v: Decimal | None, lowest_v: float, source: str
) -> None:
    """30 A at 1.15 × 12 V and 90 %: 38.3 A at 12 V, more at the lowest voltage, for hours."""
    job, lead = with_charger(by, input_min_v=told_v)
    checked = check(job)
    found = checked.result_of(lead)
    assert found is not None
    assert found.currents is not None
    assert found.currents.design_a == pytest.approx(30 * 13.8 / 0.9 / lowest_v)
    assert found.currents.continuous_a == found.currents.design_a
    (step,) = [
        step for name, step in steps(checked, lead, "Current").items() if name.startswith("Input")
    ]
    charging = "charging at 1.15 × nominal (common practice, no source)"
    assert step.source == f"{source}; {charging}"
    assert step.formula == f"30 A × 13.8 V ÷ 0.9 ÷ 12 V × 12 ÷ {lowest_v:g} V"
    assert checked.result is not None
    checks = [c for c in checked.result.checks if c.rule_id == "working-voltage"]
    assert [c.limit for c in checks] == ([11.0] if told_v else [])


def heater_lead(by: User, **values: Any) -> tuple[Job, Circuit]:
    """60 A at the helm over a lead chosen by hand."""
    heater = make_load("Heater", current_a="60", nature="constant_current", function="heating")
    job = make_small_vessel(by, loads=[(heater, "HM")])
    wire_up(job, by)
    lead = Circuit.objects.get(job=job, members__device__name="Heater")
    cable = Part.objects.get(cabledata__size_mm2=values.pop("size_mm2"), cabledata__colour="red")
    Circuit.objects.filter(pk=lead.pk).update(cable=cable, **values)
    lead.refresh_from_db()
    return job, lead


def result(job: Job, lead: Circuit) -> CircuitResult:
    found = check(job).result_of(lead)
    assert found is not None
    return found


def test_the_makers_resistance_decides_and_is_named(by: User) -> None:
    """IEC 60228, class 5, tinned: 0.795 Ω/km for 25 mm²; the maker says 0.7."""
    job, lead = heater_lead(by, size_mm2=25)
    printed = result(job, lead).resistance
    CableData.objects.filter(part=lead.cable).update(max_r_ohm_per_km=Decimal("0.7"))
    told = result(job, lead).resistance
    assert printed is not None
    assert told is not None
    assert (printed.r20_ohm_per_km, told.r20_ohm_per_km) == (0.795, 0.7)
    assert told.loop_r_ohm < printed.loop_r_ohm
    step = steps(check(job), lead, "Resistance")["Largest resistance at 20 °C"]
    assert step.source == f"{MAKER_CLAUSE} ({MAKER_CLAUSE.status.value})"


def test_conductors_in_parallel_carry_more_and_lose_half(by: User) -> None:
    job, lead = heater_lead(by, size_mm2=70)
    one = result(job, lead)
    Circuit.objects.filter(pk=lead.pk).update(in_parallel=2)
    lead.refresh_from_db()
    two = result(job, lead)
    assert one.ampacity is not None
    assert two.ampacity is not None
    assert one.resistance is not None
    assert two.resistance is not None
    assert two.ampacity.deciding.in_parallel == 2
    # Four loaded conductors together: the grouping factor of 0.6 takes its part.
    assert two.ampacity.deciding.corrected_a == pytest.approx(
        2 * 0.6 * one.ampacity.deciding.corrected_a
    )
    assert two.resistance.loop_r_ohm < 0.51 * one.resistance.loop_r_ohm
    both = steps(check(job), lead, "Resistance")["Both conductors"]
    assert both.formula.endswith("÷ 1000 ÷ 2 in parallel")
    (found,) = [one for one in two.checks if one.rule_id == "in-parallel"]
    assert found.severity is Severity.PASS
    assert "2 conductors of 70 mm² in parallel in each pole" in found.message


def test_thin_conductors_in_parallel_ask_for_attention(by: User) -> None:
    job, lead = heater_lead(by, size_mm2=16, in_parallel=3)
    (found,) = [one for one in result(job, lead).checks if one.rule_id == "in-parallel"]
    assert found.severity is Severity.ATTENTION
    assert found.limit == 53.5
    assert found.clause.status is SourceStatus.MEMORY


def test_conductors_in_parallel_are_ordered_and_listed(by: User) -> None:
    job, lead = heater_lead(by, size_mm2=70)
    once = {need.part: need.quantity for need in needs(job) if need.circuit == lead}
    Circuit.objects.filter(pk=lead.pk).update(in_parallel=2)
    twice = {need.part: need.quantity for need in needs(job) if need.circuit == lead}
    cables = [part for part in once if part.kind == "cable"]
    assert cables
    assert all(twice[part] == 2 * once[part] for part in cables)
    lead.refresh_from_db()
    assert (
        cable_text(lead.cable, lead.in_parallel)
        == "2\N{NO-BREAK SPACE}×\N{NO-BREAK SPACE}70\N{NO-BREAK SPACE}mm²"
    )


@pytest.mark.parametrize("told_s", [Decimal("0.5"), None])
def test_the_time_of_a_start_is_asked_or_assumed_and_said(by: User, told_s: Decimal | None) -> None:
    pump = make_load(
        "Pump", current_a="8", nature="motor", locked_rotor_a=Decimal(40), start_s=told_s
    )
    job = make_small_vessel(by, loads=[(pump, "HM")])
    wire_up(job, by)
    lead = Circuit.objects.get(job=job, members__device__name="Pump")
    found = result(job, lead)
    lasts_s = 0.2 if told_s is None else 0.5
    assert found.currents is not None
    assert found.currents.start_s == lasts_s
    step = steps(check(job), lead, "Current")["At a start or peak"]
    assert step.formula.endswith(f"{lasts_s:g} s")
    assert ("common practice, no source" in step.source) is (told_s is None)
    (start,) = [one for one in found.checks if one.rule_id == "motor-start"]
    assert f"draws 40 A for {lasts_s:g} s at a start" in start.message


def with_inverter(by: User, **data: Any) -> tuple[Job, Circuit]:
    part = make_part(description="Inverter", kind="inverter", category="converters")
    values: dict[str, Any] = {
        "input_v": Decimal(12),
        "input_min_v": Decimal("10.5"),
        "output_w": Decimal(500),
        "efficiency_pct": Decimal(90),
    }
    InverterData.objects.create(part=part, **(values | data))
    job = make_small_vessel(by, loads=[(part, "HM")])
    wire_up(job, by)
    return job, Circuit.objects.get(job=job, members__device__name="Inverter")


@pytest.mark.parametrize(("peak_s", "lasts_s"), [(Decimal(2), 2.0), (None, 5.0)])
def test_an_inverter_is_checked_at_its_peak(
    by: User, peak_s: Decimal | None, lasts_s: float
) -> None:
    """1000 W for a short time at 90 % and 10.5 V: 105.8 A."""
    job, lead = with_inverter(by, peak_w=Decimal(1000), peak_s=peak_s)
    found = result(job, lead)
    assert found.currents is not None
    assert found.currents.start_a == pytest.approx(1000 / 0.9 / 10.5)
    assert found.currents.design_a == pytest.approx(500 / 0.9 / 10.5)
    (peak,) = [one for one in found.checks if one.rule_id == "motor-start"]
    assert f"draws 106 A for {lasts_s:g} s at its peak" in peak.message
    assert not [one for one in found.checks if one.rule_id == "locked-rotor"]


def test_an_inverter_without_a_peak_has_no_start(by: User) -> None:
    job, lead = with_inverter(by)
    found = result(job, lead)
    assert found.currents is not None
    assert found.currents.start_a is None


def test_a_mix_keeps_part_of_its_power_as_its_voltage_falls(by: User) -> None:
    """At U volts a mix of half resistance draws I₀ (0.5 · 12 / U + 0.5 · U / 12)."""
    volts = {}
    for nature in ("constant_power", "mix", "resistive"):
        heater = make_load(
            f"Heater {nature}",
            current_a="20",
            nature=nature,
            resistive_pct=Decimal(50) if nature == "mix" else None,
        )
        job = make_small_vessel(by, loads=[(heater, "HM")])
        wire_up(job, by)
        lead = Circuit.objects.get(job=job, members__device__name=heater.description)
        Circuit.objects.filter(pk=lead.pk).update(
            cable=Part.objects.filter(cabledata__size_mm2=4)[0]
        )
        drop = result(job, lead).drop
        assert drop is not None
        volts[nature] = (drop.device_v, drop.current_a)
    device_v, current_a = volts["mix"]
    assert current_a == pytest.approx(20 * (0.5 * 12 / device_v + 0.5 * device_v / 12), rel=1e-3)
    assert volts["constant_power"][0] < device_v < volts["resistive"][0]


@pytest.mark.parametrize(
    ("ways", "severity"), [(4, Severity.PASS), (3, Severity.ATTENTION), (2, Severity.ATTENTION)]
)
def test_a_busbar_has_a_way_for_each_lead(by: User, ways: int, severity: Severity) -> None:
    """A battery's lead, a board's feeder and two heavy loads on the bar."""
    heaters = [make_load(name, current_a="60", function="heating") for name in ("One", "Two")]
    job = make_small_vessel(by, loads=[(heater, "HM") for heater in heaters])
    put(job, make_load("Lamp"), "HM", by=by)
    wire_up(job, by)
    BusbarData.objects.update(studs=ways)
    (found,) = [one for one in check(job).own if one.rule_id == "busbar-ways"]
    assert found.value == 4.0
    assert found.severity is severity
    assert found.clause.status is SourceStatus.MEMORY


def test_more_than_four_on_a_stud_stops(by: User) -> None:
    heaters = [make_load(f"Heater {n}", current_a="60", function="heating") for n in range(8)]
    job = make_small_vessel(by, loads=[(heater, "HM") for heater in heaters])
    wire_up(job, by)
    BusbarData.objects.update(studs=2)
    (found,) = [one for one in check(job).own if one.rule_id == "busbar-ways"]
    assert found.severity is Severity.STOP
    assert found.message.endswith("2 ways for 10 leads, more than 4 on each.")


def test_outer_diameters_tell_the_room_in_a_cableway(by: User) -> None:
    """Two cores of 8 mm: 100.5 mm²; a pipe of 17.9 mm is filled to 40 %."""
    job, lead = heater_lead(by, size_mm2=25)
    CableData.objects.filter(part=lead.cable).update(outer_diameter_mm=Decimal(8))
    Circuit.objects.filter(job=job).exclude(pk=lead.pk).delete()
    (section,) = room_of(check(job), lead)
    cables, room, pipe = section.steps
    assert cables.value == "2"
    assert room.value == "101\N{NO-BREAK SPACE}mm²"
    assert pipe.value == "18\N{NO-BREAK SPACE}mm"
    assert "from memory" in pipe.source
    CableData.objects.filter(part=lead.cable).update(outer_diameter_mm=None)
    (section,) = room_of(check(job), lead)
    assert section.steps[1].value == "not known"


def test_what_to_do_when_a_device_has_opened_follows_the_device(by: User) -> None:
    job, lead = heater_lead(by, size_mm2=25)
    assert after_opening(lead) == REPLACE_IT
    paper = circuit_list(check(job))
    assert dict(paper.when_opened)[REPLACE_IT].split(", ")[-1] == lead.label
    ProtectiveDeviceData.objects.filter(part=lead.protection).update(resettable=True)
    lead = Circuit.objects.get(pk=lead.pk)
    assert after_opening(lead) == RESET_IT
    lead.protection = None
    assert after_opening(lead) == ""
