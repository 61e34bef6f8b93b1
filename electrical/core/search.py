"""Choose cable and device for every circuit together, at least cost.

Feeders and branches share the voltage drop, so the cheapest feeder and the cheapest
branches are not the cheapest vessel. For a radial system the search is exact; it says
so, and says why where it can not be.
"""

import math
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from electrical.core.affordable import least_extra
from electrical.core.asked import broken_rules, given_up, is_wish
from electrical.core.choices import CableChoice, DeviceChoice, Figure, Proposal
from electrical.core.design import Circuit, Design
from electrical.core.facts import CircuitFacts, surroundings
from electrical.core.found import Found
from electrical.core.least_drops import LeastDrops, Path
from electrical.core.options import (
    DROP_RULES,
    Option,
    as_it_is,
    options_for,
    with_neighbours_loaded,
)
from electrical.core.planning import Plan, Planner, given_up_in
from electrical.core.propose import (
    missing_for_proposal,
    propose_design,
)
from electrical.core.standing import (
    Standing,
    improved,
    mended,
    most_favourable,
    picks_of,
    picks_proposed,
)
from electrical.core.tree import Tree

#: How often a plan may turn out not to hold before the search gives up.
MOST_PLANS = 60
#: Checks spent on making a found choice cheaper pick by pick.
MOST_CHECKS = 150
#: A plan no more than this below a choice that holds is no cheaper.
PLAN_MARGIN = 1e-9


@dataclass
class _Search:
    """One search; counts plans and keeps what was learned from them."""

    design: Design
    circuit_ids: Sequence[str]
    cables: Callable[[Circuit], Sequence[CableChoice]]
    devices: Callable[[Circuit], Sequence[DeviceChoice]]
    cost_per_kg: float
    proven_cuts: set[tuple[str, Path]] = field(default_factory=set)
    other_cuts: set[tuple[str, Path]] = field(default_factory=set)
    least: Figure | None = None
    """What a choice gives up and costs at least; its cost without what mass adds to it."""
    chosen: frozenset[str] = frozenset()
    """Circuits that plans choose for."""
    plans_tried: int = 0
    hopeless: tuple[str, ...] = ()
    best: Standing | None = None
    is_improved: bool = False
    mended: Standing | None = None

    @cached_property
    def dividing(self) -> frozenset[str]:
        """Circuits that stay as chosen one at a time."""
        return Tree(design=self.design).dividing & frozenset(self.circuit_ids)

    def weigh(self, cost: float, mass_kg: float) -> float:
        """Cost and mass as one figure; without a price, mass alone breaks ties."""
        return cost + (self.cost_per_kg or 1e-6) * mass_kg

    def run(self) -> Found:
        start, proposals = propose_design(
            self.design, circuit_ids=self.circuit_ids, cables=self.cables, devices=self.devices
        )
        first = Standing(base=start, picks=picks_proposed(start, proposals))
        left_out = tuple(p for p in proposals if p.missing)
        wanted = len(proposals) - len(left_out)
        alone = first if len(first.picks) == wanted and not first.broken else None
        every = self._options(first, {p.circuit_id for p in left_out})
        self.hopeless = tuple(i for i, some in every.items() if not some)
        options = {i: some for i, some in every.items() if some}
        self.chosen = frozenset(options)
        best = self._cheapest(first, options, alone) if options else None
        if best is None:
            return self._one_at_a_time(first, proposals, alone)
        left = tuple(p for p in proposals if p.circuit_id not in best.picks)
        return self._found(self._polished(best), left, alone)

    def _polished(self, best: Standing) -> Standing:
        """The same made better circuit by circuit, neighbours counted as they are in fact."""
        options = {i: self._options_of(best.facts[i]) for i in best.picks}
        return improved(best, options, self.weigh, most_checks=MOST_CHECKS)

    def _options(self, first: Standing, left_out: set[str]) -> dict[str, tuple[Option, ...]]:
        """Options with neighbours counted as loaded wherever they may be."""
        wanted = [
            i
            for i in self.circuit_ids
            if i not in left_out
            and i not in self.dividing
            and not missing_for_proposal(first.facts[i])
        ]
        if not wanted:
            return {}
        alone = {i: _alone(first.facts[i]) for i in wanted}
        facts = with_neighbours_loaded(
            first.facts, {i: self._options_of(known) for i, known in alone.items()}
        )
        return {i: self._options_of(facts[i]) for i in wanted}

    def _options_of(self, facts: CircuitFacts) -> tuple[Option, ...]:
        return options_for(
            facts,
            cables=self.cables(facts.circuit),
            devices=self.devices(facts.circuit),
            weigh=self.weigh,
        )

    def _cheapest(
        self,
        first: Standing,
        options: Mapping[str, tuple[Option, ...]],
        alone: Standing | None,
    ) -> Standing | None:
        """The best choice found; proven when no plan below it is left."""
        self.best = alone
        for _ in range(2):  # once more when there is something to beat
            had = self.best
            self.other_cuts.clear()
            planned = self._planned(first, options)
            if planned is not None and not self.other_cuts:
                return planned
            if planned is not None:
                self._keep(improved(planned, options, self.weigh, most_checks=MOST_CHECKS))
            if self.best is had:
                break
        return self.best

    def _keep(self, standing: Standing) -> None:
        """Remember a choice that holds, if it is the best so far."""
        if self.best is None or self._figure(standing).is_below(self._figure(self.best)):
            self.best = standing

    def _figure(self, standing: Standing) -> Figure:
        """Of what plans choose; what is given up elsewhere no plan can count on."""
        wishes = sum(standing.given_up.get(i) or 0 for i in self.chosen)
        return Figure(wishes, self.weigh(standing.cost, standing.mass_kg))

    def _planned(
        self, first: Standing, options: Mapping[str, tuple[Option, ...]]
    ) -> Standing | None:
        """The first plan that holds; the best while every cut was proven."""
        thickest = most_favourable(first, (), options)
        best_case = next(iter(thickest.facts.values())).voltages
        least = LeastDrops(design=first.base, facts=first.facts, best_case=best_case)
        while self.plans_tried < MOST_PLANS:
            planner = Planner(
                design=first.base,
                facts=first.facts,
                options={c: options.get(c, (as_it_is(known),)) for c, known in first.facts.items()},
                weigh=self.weigh,
                least=least,
                cuts=self.proven_cuts | self.other_cuts,
            )
            plan = planner.best()
            if plan is None and planner.hopeless & options.keys() and not self.other_cuts:
                self.hopeless += tuple(sorted(planner.hopeless & options.keys()))
                options = {i: some for i, some in options.items() if i not in self.hopeless}
                self.chosen = frozenset(options)
                continue
            if plan is None or not plan.keys() >= options.keys():
                return self._last_left()
            self.plans_tried += 1
            kept = {i: pick for i, pick in first.picks.items() if i not in options}
            standing = Standing(base=first.base, picks=kept | picks_of(plan))
            planned = Figure(given_up_in(plan), self.weigh(standing.cost, standing.mass_kg))
            if not self._is_better(planned):
                return self._last_left()
            if not self.other_cuts:
                self.least = Figure(planned.given_up, standing.cost)
            more = _giving_up_more(plan, standing)
            if not set(standing.broken) & options.keys() and not more:
                return standing
            self._cut(planner, plan, standing, options)
            self.other_cuts |= {planner.cut(circuit_id, plan) for circuit_id in more}
        return None

    def _is_better(self, figure: Figure) -> bool:
        """Whether it is below what holds already; a plan that is not ends the search."""
        return self.best is None or figure.is_below(self._figure(self.best), margin=PLAN_MARGIN)

    def _last_left(self) -> Standing | None:
        """What holds already, when no cheaper plan is left: proven unless a cut was a trial."""
        if self.best is None or self.other_cuts:
            return None
        self.least = Figure(self._figure(self.best).given_up, self.best.cost)
        return self.best

    def _cut(
        self,
        planner: Planner,
        plan: Plan,
        standing: Standing,
        options: Mapping[str, tuple[Option, ...]],
    ) -> None:
        """Forbid what broke: proven when it breaks whatever the other circuits have.

        So it is when the others would have to be made so thick for it that the whole is
        dearer than a choice that holds already.
        """
        for circuit_id in standing.broken:
            if circuit_id not in options:
                continue
            cut = planner.cut(circuit_id, plan)
            kept = frozenset(name for name, _key in cut[1])
            best_case = most_favourable(standing, kept, options)
            is_proven = self._breaks(best_case, circuit_id)
            if not is_proven:
                self._improve_once(options)
                self._mend(standing, options)
                is_proven = self._is_too_dear(planner, plan, standing, circuit_id)
            (self.proven_cuts if is_proven else self.other_cuts).add(cut)

    def _improve_once(self, options: Mapping[str, tuple[Option, ...]]) -> None:
        """Make the one-at-a-time choice as cheap as it gets, the first time it is asked for."""
        if self.best is not None and not self.is_improved:
            self.best = improved(self.best, options, self.weigh, most_checks=MOST_CHECKS)
        self.is_improved = True

    def _mend(self, standing: Standing, options: Mapping[str, tuple[Option, ...]]) -> None:
        """Try whether one thicker cable makes a plan hold and still the cheapest."""
        if standing is self.mended:
            return
        self.mended = standing
        below = self.best.figure(self.weigh) if self.best else Figure(sys.maxsize, math.inf)
        found = mended(standing, options, self.weigh, below=below, most_checks=MOST_CHECKS)
        if found is not None:
            self._keep(improved(found, options, self.weigh, most_checks=MOST_CHECKS))

    def _is_too_dear(
        self, planner: Planner, plan: Plan, standing: Standing, circuit_id: str
    ) -> bool:
        """Whether keeping a circuit as planned costs no less than what holds already."""
        broken = [f for f in broken_rules(standing.facts[circuit_id]) if not is_wish(f)]
        drop = standing.facts[circuit_id].drop
        if self.best is None or drop is None or not {f.rule_id for f in broken} <= DROP_RULES:
            return False
        state = next(s for s in self.design.states if s.id == drop.state_id)
        extra = least_extra(planner, plan, circuit_id, state)
        spent = self.weigh(standing.cost, standing.mass_kg) + extra
        return not self._is_better(Figure(given_up_in(plan), spent))

    @staticmethod
    def _breaks(standing: Standing, circuit_id: str) -> bool:
        return given_up(broken_rules(standing.facts[circuit_id])) is None

    def _least_cost(self, standing: Standing) -> float | None:
        """Of choices that give up as little as this one, where that is known."""
        if self.least is None or self.least.given_up != self._figure(standing).given_up:
            return None
        return self.least.spent

    def _is_proven(self, standing: Standing) -> bool:
        reached = Figure(self._figure(standing).given_up, standing.cost)
        return self.least is not None and not self.least.is_below(reached, margin=1e-6)

    def _found(
        self, best: Standing, left_out: tuple[Proposal, ...], alone: Standing | None
    ) -> Found:
        why = self._hopeless_words(best.base)
        if not why and self.dividing:
            why = "The leads through which current can divide were chosen one at a time."
        if not why and not self._is_proven(best):
            why = (
                "A cheaper choice can not be ruled out: some drops are within a hair of their "
                "limit."
            )
        return Found(
            design=best.design,
            proposals=(*best.proposals(self.cables), *left_out),
            cost=best.cost,
            mass_kg=best.mass_kg,
            given_up=best.figure(self.weigh).given_up,
            is_exact=not why,
            why_not_exact=why,
            least_cost=self._least_cost(best),
            one_by_one_cost=alone.cost if alone else None,
            one_by_one_given_up=alone.figure(self.weigh).given_up if alone else None,
            plans_tried=self.plans_tried,
        )

    def _hopeless_words(self, design: Design) -> str:
        labels = {circuit.id: circuit.label for circuit in design.circuits}
        names = ", ".join(labels[i] for i in self.hopeless)
        return f"Nothing on offer holds every rule of {names}." if names else ""

    def _one_at_a_time(
        self,
        first: Standing,
        proposals: tuple[Proposal, ...],
        alone: Standing | None,
    ) -> Found:
        why = self._hopeless_words(first.base)
        if not first.picks and not self.plans_tried and not why:
            why = "There is nothing that can be chosen."
        if not why:
            why = f"No choice that holds every rule was found in {self.plans_tried} tries."
        return Found(
            design=first.design,
            proposals=proposals,
            cost=first.cost,
            mass_kg=first.mass_kg,
            given_up=first.figure(self.weigh).given_up,
            is_exact=False,
            why_not_exact=why,
            least_cost=None,
            one_by_one_cost=alone.cost if alone else None,
            one_by_one_given_up=alone.figure(self.weigh).given_up if alone else None,
            plans_tried=self.plans_tried,
        )


def _giving_up_more(plan: Plan, standing: Standing) -> list[str]:
    """Circuits that turn out to give up more than was planned."""
    return [
        circuit_id
        for circuit_id, choice in plan.items()
        if (standing.given_up.get(circuit_id) or 0) > choice.given_up
    ]


def _alone(facts: CircuitFacts) -> CircuitFacts:
    """A run as if it lay by itself."""
    return replace(facts, around=surroundings(facts.design, facts.circuit))


def search_design(
    design: Design,
    *,
    circuit_ids: Sequence[str],
    cables: Callable[[Circuit], Sequence[CableChoice]],
    devices: Callable[[Circuit], Sequence[DeviceChoice]],
    cost_per_kg: float = 0.0,
) -> Found:
    """Choose cable and device for several circuits together, at least cost.

    Parameters
    ----------
    design : Design
        The design.
    circuit_ids : Sequence of str
        Circuits to choose for; the others stay as they are.
    cables, devices : callable
        What is on offer for a circuit.
    cost_per_kg : float
        What a kilogram less is worth [currency/kg]; 0 leaves mass to break ties.

    Returns
    -------
    Found
        The cheapest choice by which every rule holds in every operating state, with
        what the next cheaper cable of each circuit would break, and the saving
        against choosing one circuit at a time. Of the rules that are only wished for
        (:data:`~electrical.core.propose.WISHED_RULES`) it gives up as few as can be,
        whatever that costs.

    Notes
    -----
    Exact for a radial system, every neighbour in a cableway counted as loaded that would
    be with the thinnest cable it may have. Leads through which current can divide start
    from the one-at-a-time choice, and where nothing on offer holds that choice is returned whole;
    both are said.

    Plans are made with drops that the true drops are never below, cheapest first, and
    each is checked by every rule on the solved network. What breaks is forbidden: for
    good when it would break with every other circuit as thick as may be, or when making
    the others thick enough for it costs more than a choice that holds already; else on
    trial, and the cost of the last plan before that stays as the proven least. Last, the
    best is made better circuit by circuit with its neighbours as they are in fact; so it
    may cost less than that least.
    """
    return _Search(
        design=design,
        circuit_ids=circuit_ids,
        cables=cables,
        devices=devices,
        cost_per_kg=cost_per_kg,
    ).run()
