"""An emergency parallel switch: what joins which batteries, and the current that may flow."""

from decimal import Decimal

import pytest

from catalogue.models import BatteryData, Part, SwitchData
from electrical.adapters.routes import Router, point_of
from electrical.check import check
from electrical.core.findings import Finding, Severity
from electrical.core.geometry import Way
from electrical.devices import tell
from electrical.facts import load_facts
from electrical.models import Device
from fitout.jobs.models import Job
from fitout.kit.models import User
from tests.factories.electrical import make_battery, make_cable, make_small_vessel, put
from tests.factories.jobs import make_part

pytestmark = pytest.mark.django_db


def make_parallel_switch() -> Part:
    part = make_part(description="Emergency switch", kind="switch", category="distribution")
    SwitchData.objects.create(
        part=part,
        rated_v=Decimal("48"),
        continuous_a=Decimal("100"),
        is_emergency_parallel=True,
    )
    return part


@pytest.fixture
def by(estimator: User) -> User:
    return estimator


@pytest.fixture
def job(by: User) -> Job:
    job = make_small_vessel(by)
    put(job, make_battery("Start battery", use="start"), "EW", by=by)
    put(job, make_parallel_switch(), "BL", by=by)
    return job


def told(job: Job, by: User, **answers: object) -> None:
    switch = Device.objects.get(job=job, name="Emergency switch")
    tell(switch, by=by, version=switch.version, **answers)


def found(job: Job, rule_id: str) -> Finding:
    result = check(job).result
    assert result is not None
    (one,) = [one for one in result.checks if one.rule_id == rule_id]
    return one


def lead_m(job: Job) -> float:
    facts = load_facts(job)
    by_name = {device.name: point_of(device) for device in facts.devices}
    router, switch = Router(facts), by_name["Emergency switch"]
    ways = [router.way(switch, by_name[name]) for name in ("House battery", "Start battery")]
    lengths_m = [way.length_m for way in ways if isinstance(way, Way)]
    assert len(lengths_m) == 2
    return sum(lengths_m)


def test_without_its_cable_the_current_can_not_be_told(job: Job) -> None:
    verdict = found(job, "link-current")
    assert verdict.severity is Severity.CANNOT_TELL
    assert verdict.missing == ("resistance of its leads",)


def test_its_cable_and_the_hull_plan_give_the_current(job: Job, by: User) -> None:
    """Two batteries of 5 mΩ and one lead of copper, cold; the gap is that of the rule."""
    gaps = []
    for size_mm2 in ("50", "16"):
        told(job, by, link_cable=make_cable(size_mm2, colour="brown"))
        verdict = found(job, "link-current")
        assert verdict.value is not None
        lead_ohm = 0.017241 * lead_m(job) / float(size_mm2)
        gaps.append(verdict.value * (0.010 + lead_ohm))
    assert lead_m(job) > 1.0
    assert gaps[0] == pytest.approx(gaps[1], rel=1e-4)
    assert 0.3 < gaps[0] < 2.0


def test_lithium_needs_a_limiter_to_lead_acid(job: Job, by: User) -> None:
    BatteryData.objects.filter(use="house").update(chemistry="lfp")
    assert found(job, "link-chemistry").missing == ("current limiter of the link",)
    told(job, by, link_is_limited=False)
    assert found(job, "link-chemistry").severity is Severity.STOP
    told(job, by, link_is_limited=True)
    assert found(job, "link-chemistry").severity is Severity.PASS
    assert found(job, "link-current").severity is Severity.PASS
