"""Whatever a rule compares, the way to both figures is told and leads to them."""

from hypothesis import HealthCheck, given, settings

from electrical.core.check import check_design
from electrical.core.design import Design
from electrical.reckoning.case import Case, Solved
from tests.factories.figures import ways_of, wrong
from tests.property.random_designs import designs


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(net=designs())
def test_the_figures_of_any_vessel_follow_from_what_is_told(net: Design) -> None:
    result = check_design(net)
    solved = Solved(net, result)
    for finding in result.checks:
        if finding.value is not None:
            assert wrong(finding, ways_of(Case(finding, None, solved))) == []
