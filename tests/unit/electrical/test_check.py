"""The check of a whole job: figures against hand calculation, and what is not known."""

from dataclasses import replace
from decimal import Decimal

import pytest

from electrical import circuits
from electrical.check import check
from electrical.core.check import check_design
from electrical.core.findings import Severity
from electrical.finding_groups import grouped, numbers_by_circuit
from electrical.listing import Listing
from electrical.models import Circuit, CircuitRole
from electrical.wiring.wire_up import wire_up
from electrical.working import working_of
from fitout.jobs.models import CablewaySegment, Job
from fitout.jobs.sheet.editing import edit
from fitout.kit.models import Role, User
from tests.factories.electrical import make_cable, make_load, make_small_vessel, put
from tests.factories.jobs import make_part
from tests.factories.people import make_user

pytestmark = pytest.mark.django_db

#: IEC 60228:2004, Table 3, class 5, metal-coated, 2.5 mm² (second-hand).
R20_OHM_PER_KM = 8.21
#: Temperature coefficient of copper at 20 °C, IEC 60228:2004, Annex (second-hand).
ALPHA_PER_K = 0.00393


@pytest.fixture
def by() -> User:
    return make_user(role=Role.ESTIMATOR)


@pytest.fixture
def job(by: User) -> Job:
    pump = make_load("Wash pump", current_a="8", function="pump", nature="constant_current")
    job = make_small_vessel(by, loads=[(pump, "DS")])
    wire_up(job, by)
    return job


def pump_of(job: Job) -> Circuit:
    return Circuit.objects.get(job=job, members__device__name="Wash pump")


def test_resistance_and_drop_follow_from_the_printed_resistance(job: Job, by: User) -> None:
    pump = pump_of(job)
    cable = make_cable("2.50")
    circuits.edit(pump, by=by, version=pump.version, cable=cable, length_override_m=Decimal("10"))
    checked = check(job)
    result = checked.result_of(pump)
    assert result is not None
    assert result.resistance is not None
    assert result.drop is not None
    assert result.resistance.r20_ohm_per_km == R20_OHM_PER_KM
    hot = R20_OHM_PER_KM * (1 + ALPHA_PER_K * (result.resistance.conductor_temp_c - 20))
    loop_ohm = 2 * 10 * hot / 1000
    assert result.resistance.loop_r_ohm == pytest.approx(loop_ohm, rel=1e-3)
    assert result.drop.current_a == pytest.approx(8.0, rel=1e-3)
    assert result.drop.own_v == pytest.approx(8 * loop_ohm, rel=2e-2)
    shown = {step.name: step.value for part in working_of(checked, pump) for step in part.steps}
    assert shown["Length one way"].startswith("10.00")
    assert shown["Largest resistance at 20 °C"].startswith("8.21")


def test_every_value_of_the_working_says_how_and_where_from(job: Job) -> None:
    checked = check(job)
    steps = [
        (circuit.label, step)
        for circuit in Circuit.objects.filter(job=job)
        for section in working_of(checked, circuit)
        for step in section.steps
    ]
    assert len(steps) > 20
    assert [f"{label} {step.name}" for label, step in steps if not step.formula] == []
    assert [f"{label} {step.name}" for label, step in steps if not step.source] == []


def test_the_working_tells_each_source_of_a_short_and_what_a_run_ends_at(job: Job) -> None:
    checked = check(job)
    seen = set()
    for circuit in checked.facts.circuits:
        steps = {s.name: s for part in working_of(checked, circuit) for s in part.steps}
        seen |= {(circuit.role, name) for name in steps if name.startswith("Left at")}
        result = checked.result_of(circuit)
        if result is None or result.fault is None:
            continue
        sources = steps["At the protective device"].behind
        told = {f"{source.name}: {source.why}" for source in sources}
        assert told == set(result.fault.assumptions)
        assert all(source.value.endswith("A") and source.status for source in sources)
    assert (CircuitRole.LOAD, "Left at the device") in seen
    assert (CircuitRole.FEEDER, "Left at the board") in seen


def test_the_working_names_the_clause_of_the_limit_and_of_each_factor(job: Job, by: User) -> None:
    pump = pump_of(job)
    shown = {s.name: s for part in working_of(check(job), pump) for s in part.steps}
    assert "ISO 10133:2012, 4.7, 4.8 and Annex A" in shown["Limit"].source
    assert "ABYC E-11" in shown["Grouping factor"].source
    assert "(" in shown["Table value, deciding"].source
    circuits.edit(pump, by=by, version=pump.version, drop_limit_pct=Decimal(5))
    shown = {s.name: s for part in working_of(check(job), pump) for s in part.steps}
    assert shown["Limit"].source == "the workshop's own, as entered"
    assert shown["Limit"].value.startswith("5.0")


def test_warm_air_shows_in_the_working_and_in_what_the_conductor_may_carry(job: Job) -> None:
    pump = pump_of(job)
    checked = check(job)
    design = checked.design
    assert design is not None
    result = check_design(replace(design, ambient_c=50.0))
    warm = replace(checked, design=replace(design, ambient_c=50.0), result=result)
    shown = {s.name: s for part in working_of(warm, pump) for s in part.steps}
    assert shown["Warm-air factor"].formula.endswith("− 50) ÷ (90 − 30))")
    found = warm.result_of(pump)
    assert found is not None
    assert found.ampacity is not None
    factor = found.ampacity.deciding.ambient_factor
    assert factor < found.ampacity.deciding.engine_factor
    assert f"× {factor:.3g} ×" in shown["May carry here, deciding"].formula


def test_lengths_come_from_the_cableways_and_change_with_the_place(job: Job, by: User) -> None:
    pump = pump_of(job)
    before = check(job).runs[pump.pk].length_m
    assert before is not None
    device = pump.devices.get()
    line = device.line
    place = {"x_m": device.x_m + 2, "y_m": device.y_m, "z_m": device.z_m}
    edit(line, by=by, version=line.version, **place)
    after = check(job).runs[pump.pk].length_m
    assert after is not None
    # Two metres further forward, with 5 % slack.
    assert after == pytest.approx(before + 2 * 1.05, abs=0.6)


def test_without_cableways_it_cannot_tell_and_says_what_to_do(job: Job) -> None:
    CablewaySegment.objects.filter(vessel=job.vessel).delete()
    found = check(job).by_circuit[pump_of(job).pk]
    way = next(finding for finding in found if finding.rule_id == "way")
    assert way.severity is Severity.CANNOT_TELL
    assert "no cableways" in way.message
    assert "measured length" in way.message


def test_a_part_without_electrical_data_is_named(job: Job, by: User) -> None:
    put(job, make_part(description="Mystery pump", kind="load"), "HB", by=by)
    findings = check(job).findings
    missing = next(f for f in findings if "electrical data" in " ".join(f.missing))
    assert "Mystery pump" in missing.message
    assert missing.severity is Severity.CANNOT_TELL


def test_a_value_that_cannot_be_is_told_not_raised(job: Job) -> None:
    Circuit.objects.filter(pk=pump_of(job).pk).update(drop_limit_pct=Decimal(0))
    checked = check(job)
    assert checked.result is None
    assert checked.findings[0].rule_id == "data"
    assert "drop limit" in checked.findings[0].message


def test_every_finding_has_a_source_with_its_status(job: Job) -> None:
    checked = check(job)
    assert checked.findings
    for group in grouped(checked.facts, checked.findings):
        assert group.source
        statuses = ("read in", "second-hand", "memory", "practice")
        assert any(word in group.source.lower() for word in statuses), group.source


def test_alike_findings_are_told_once_and_numbered(job: Job, by: User) -> None:
    for number in range(3):
        put(
            job,
            make_load(f"Pump {number}", function="pump", fuse_max_a=Decimal("0.5")),
            "HB",
            by=by,
        )
    wire_up(job, by)
    checked = check(job)
    groups = grouped(checked.facts, checked.findings)
    alike = [group for group in groups if group.first.rule_id == "maker-fuse"]
    assert len(alike) == 1
    assert len(alike[0].labels) == 3
    assert [group.number for group in groups] == list(range(1, len(groups) + 1))
    numbers = numbers_by_circuit(groups)
    rows = Listing(checked, numbers).rows
    assert {row.finding_number for row in rows if row.severity is not Severity.PASS} <= set(
        numbers.values()
    )
