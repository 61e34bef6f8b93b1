"""Wire up gives a feeder the smallest device that lets its branches' devices open first."""

import copy
from collections.abc import Mapping
from dataclasses import replace

import pytest

from electrical.adapters import design_of
from electrical.adapters.routes import runs_of
from electrical.check import Checked, check, check_facts
from electrical.core.choices import Proposal
from electrical.core.findings import Severity
from electrical.core.ordering import replaced
from electrical.facts import Facts, load_facts
from electrical.models import Circuit, CircuitRole
from electrical.wiring import choosing
from electrical.wiring.choosing import Chooser, take
from electrical.wiring.offer import Offer
from electrical.wiring.selective import Standing
from electrical.wiring.wire_up import wire_up
from fitout.jobs.models import Job
from fitout.kit.models import Role, User
from tests.factories.electrical import make_board, make_load, make_small_vessel, put
from tests.factories.people import make_user

pytestmark = pytest.mark.django_db


@pytest.fixture
def by() -> User:
    return make_user(role=Role.ESTIMATOR)


@pytest.fixture
def job(by: User) -> Job:
    """A board that only two small loads start from."""
    job = make_small_vessel(by)
    put(job, make_board("Cabin board", protection="blade"), "HM", by=by)
    for name in ("Cabin light", "Chart light"):
        put(job, make_load(name, current_a="0.4"), "HM", by=by)
    return job


def without_raising(facts: Facts, monkeypatch: pytest.MonkeyPatch) -> Checked:
    with monkeypatch.context() as patch:
        patch.setattr(choosing, "raise_feeders", lambda *_: {})
        return fitted(facts)


def fitted(facts: Facts) -> Checked:
    """The vessel as wire up would have it; nothing is stored."""
    offer = Offer(facts)
    choices: Mapping[str, Proposal] = Chooser(facts, offer).choices()
    circuits = []
    for row in facts.circuits:
        circuit = copy.copy(row)
        if str(row.pk) in choices:
            take(circuit, choices[str(row.pk)], offer)
        circuits.append(circuit)
    return check_facts(replace(facts, circuits=tuple(circuits)))


def attentions(checked: Checked) -> list[str]:
    return [
        finding.message
        for finding in checked.findings
        if finding.rule_id == "selective" and finding.severity is Severity.ATTENTION
    ]


def test_a_feeder_gets_a_device_that_opens_after_its_branches(
    job: Job, by: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    wire_up(job, by)
    facts = load_facts(job)
    assert attentions(without_raising(facts, monkeypatch))
    checked = check(job)
    assert not attentions(checked)
    assert not checked.count(Severity.STOP)
    before = list(Circuit.objects.values_list("pk", "cable", "protection"))
    wire_up(job, by)
    assert list(Circuit.objects.values_list("pk", "cable", "protection")) == before


def test_another_device_is_judged_as_if_everything_were_worked_out_again(
    job: Job, by: User
) -> None:
    wire_up(job, by)
    facts = load_facts(job)
    design = design_of(facts, runs_of(facts))
    standing = Standing.of(design)
    for run in design.circuits:
        if run.protection is None:
            continue
        for rating_a in (0.5 * run.protection.rating_a, 4.0 * run.protection.rating_a):
            other = replace(run, protection=replace(run.protection, rating_a=rating_a))
            trial = replaced(design, other)
            quick, anew = standing.with_run(trial, other), Standing.of(trial)
            assert quick.broken == anew.broken
            assert (quick.not_selective, quick.untold) == (anew.not_selective, anew.untold)
            assert quick.known[run.id].currents == anew.known[run.id].currents


def test_a_feeder_set_by_hand_stays(job: Job, by: User, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(choosing, "raise_feeders", lambda *_: {})
        wire_up(job, by)
    feeders = Circuit.objects.filter(job=job, role__in=(CircuitRole.FEEDER, CircuitRole.SOURCE))
    feeders.update(protection_set_by_hand=True)
    before = list(feeders.values_list("pk", "protection"))
    wire_up(job, by)
    assert list(feeders.values_list("pk", "protection")) == before


@pytest.mark.usefixtures("demo")
@pytest.mark.parametrize("number", [139, 141, 143])
def test_on_the_demo_vessels_fewer_attentions_and_no_stop(
    number: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    facts = load_facts(Job.objects.get(number=number))
    plain, raised = without_raising(facts, monkeypatch), fitted(facts)
    assert len(attentions(raised)) < len(attentions(plain))
    for severity in (Severity.STOP, Severity.ATTENTION, Severity.CANNOT_TELL):
        assert raised.count(severity) <= plain.count(severity)
    assert raised.count(Severity.ATTENTION) < plain.count(Severity.ATTENTION)
