"""What makers tell of inputs, starts and cables is asked by the check of the wiring."""

from decimal import Decimal
from typing import Any

import pytest

from electrical.adapters.loads import LOWEST_ASSUMED
from electrical.check import Checked, check
from electrical.models import Circuit
from electrical.wiring.wire_up import wire_up
from electrical.working import Step, working_of
from fitout.jobs.models import Job
from fitout.kit.models import User
from tests.factories.electrical import make_battery, make_charger, make_small_vessel, put

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
    """30 A at 12 V and 90 %: 33.3 A at 12 V, more at the lowest voltage."""
    job, lead = with_charger(by, input_min_v=told_v)
    checked = check(job)
    found = checked.result_of(lead)
    assert found is not None
    assert found.currents is not None
    assert found.currents.design_a == pytest.approx(30 * 12 / 0.9 / lowest_v)
    (step,) = [
        step for name, step in steps(checked, lead, "Current").items() if name.startswith("Input")
    ]
    assert step.source == source
    assert step.formula == f"33.33 A at 12 V × 12 ÷ {lowest_v:g} V"
    assert checked.result is not None
    checks = [c for c in checked.result.checks if c.rule_id == "working-voltage"]
    assert [c.limit for c in checks] == ([11.0] if told_v else [])
