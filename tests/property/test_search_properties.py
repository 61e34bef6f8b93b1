"""Properties of the search: any vessel gets an answer, and what is called exact holds."""

from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from electrical.core.asked import broken_rules, given_up
from electrical.core.design import Design
from electrical.core.facts import gather
from electrical.core.search import search_design
from tests.property.random_designs import designs
from tests.property.test_metamorphic import shuffled
from tests.unit.core.designs import design
from tests.unit.core.offers import BLADES, CABLES, STRIPS

OFFERED = (*BLADES[::3], *STRIPS[::3])


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(net=designs())
def test_every_vessel_gets_an_answer(net: Design) -> None:
    ids = [circuit.id for circuit in net.circuits]
    found = search_design(
        net, circuit_ids=ids, cables=lambda _circuit: CABLES, devices=lambda _circuit: OFFERED
    )
    assert {p.circuit_id for p in found.proposals} == set(ids)
    assert found.is_exact != bool(found.why_not_exact)
    if found.is_exact:
        assert found.least_cost is None or found.cost <= found.least_cost + 1e-6
        facts, _voltages = gather(found.design)
        chosen = [p.circuit_id for p in found.proposals if p.is_complete]
        wishes = [given_up(broken_rules(facts[i])) for i in chosen]
        assert None not in wishes
        assert found.given_up == sum(n or 0 for n in wishes)


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(net=designs(), rng=st.randoms(use_true_random=False))
def test_the_least_cost_does_not_depend_on_the_order_of_circuits(net: Design, rng: Random) -> None:
    ids = [circuit.id for circuit in net.circuits]
    first, second = (
        search_design(
            each,
            circuit_ids=[circuit.id for circuit in each.circuits if circuit.id in ids],
            cables=lambda _circuit: CABLES,
            devices=lambda _circuit: OFFERED,
        )
        for each in (net, shuffled(net, rng))
    )
    assert first.is_exact == second.is_exact
    assert first.cost == pytest.approx(second.cost, rel=1e-9)


def test_nothing_to_choose_is_said() -> None:
    found = search_design(
        design(), circuit_ids=[], cables=lambda _circuit: CABLES, devices=lambda _circuit: OFFERED
    )
    assert (found.cost, found.proposals) == (0.0, ())
    assert found.why_not_exact == "There is nothing that can be chosen."
