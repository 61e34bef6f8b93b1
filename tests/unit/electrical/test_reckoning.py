"""How the figures of findings come about, on the demo's vessels."""

import pytest

from electrical.check import Checked, check
from electrical.core.rules import CIRCUIT_RULES, DESIGN_RULES
from electrical.core.rules.data_backbone import RULES as BACKBONE_RULES
from electrical.reckoning import WAYS, Reckoner
from fitout.jobs.models import Job
from tests.factories.figures import wrong

pytestmark = pytest.mark.usefixtures("demo")
#: Rules of the core that compare no figures: they ask whether something is there.
WITHOUT_FIGURES = {
    "complete",
    "always-live",
    "run-near-fuel",
    "fed",
    "operating-point",
    "battery-held",
    "battery-gas",
    "link-chemistry",
    "strings",
    "earthing",
    "double-pole",
    "isolated-output",
    "ignition",
    "near-fuel",
    "colours",
    "data-shape",
}


@pytest.fixture(params=["iso", "us"])
def checked(request: pytest.FixtureRequest) -> list[Checked]:
    jobs = list(Job.objects.all())
    for job in jobs:
        job.rule_set = request.param
    return [check(job) for job in jobs]


def test_every_figure_follows_from_what_is_told(checked: list[Checked]) -> None:
    found = []
    for one in checked:
        reckoner = Reckoner(one)
        for finding in one.judged:
            told = reckoner.of(finding)
            if finding.value is not None:
                assert told.value is not None, finding
                found += wrong(finding, (told.value, told.limit))
    assert found == []


def test_every_rule_tells_its_figures_or_has_none() -> None:
    ids = [rule.id for rule in CIRCUIT_RULES] + [rule.id for rule in DESIGN_RULES]
    ids += [rule.id for rule in BACKBONE_RULES]
    assert set(ids) - set(WAYS) == WITHOUT_FIGURES


def test_each_check_stands_on_one_page_once(checked: list[Checked]) -> None:
    for one in checked:
        reckoner = Reckoner(one)
        shown = [check for subject in reckoner.elsewhere for check in subject.checks]
        for circuit in one.facts.circuits:
            shown += reckoner.about(circuit)
        assert len(shown) == len(one.judged)
        assert len({subject.place for subject in reckoner.elsewhere}) == len(reckoner.elsewhere)


def test_a_busbar_names_what_is_on_it(checked: list[Checked]) -> None:
    reckoner = Reckoner(next(one for one in checked if one.facts.job.number == 140))
    told = [c for one in reckoner.elsewhere for c in one.checks if c.finding.rule_id == "busbar"]
    assert told
    for check_of_bar in told:
        assert check_of_bar.value is not None
        assert check_of_bar.value.parts, check_of_bar.finding
        assert "on together" in check_of_bar.value.formula


def test_the_devices_of_both_ends_are_told_apart(checked: list[Checked]) -> None:
    by_rule = {
        (check.finding.subject.id, check.finding.rule_id, check.finding.at_far_end): check.name
        for one in checked
        for check in map(Reckoner(one).of, one.judged)
    }
    far = [(subject, rule) for subject, rule, at_far_end in by_rule if at_far_end]
    both = [ends for ends in far if (*ends, False) in by_rule]
    assert both
    for ends in both:
        assert by_rule[*ends, True] == f"{by_rule[*ends, False]}, far end"
