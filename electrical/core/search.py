"""Choose cable and device for every circuit together, at least cost.

Feeders and branches share the voltage drop, so the cheapest feeder and the cheapest
branches are not the cheapest vessel. For a radial system the search is exact; it says
so, and says why where it can not be.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from electrical.core.choices import CableChoice, DeviceChoice, Proposal
from electrical.core.design import Circuit, Design
from electrical.core.facts import CircuitFacts, gather
from electrical.core.findings import Finding
from electrical.core.options import Option, as_it_is, options_for
from electrical.core.planning import Choice, Planner
from electrical.core.propose import (
    ASKED_RULES,
    WISHED_RULES,
    broken_rules,
    missing_for_proposal,
    propose_design,
    replaced,
)
from electrical.core.tree import Tree

#: How often a plan may turn out not to hold before the search gives up.
MOST_PLANS = 60


@dataclass(frozen=True, kw_only=True)
class Found:
    """What the search found.

    Parameters
    ----------
    design : Design
        With every complete proposal carried out.
    proposals : tuple of Proposal
        One per circuit asked for, with what decided it.
    cost : float
        Of all cables and devices chosen [currency].
    mass_kg : float
        Of all cables and devices chosen [kg].
    is_exact : bool
        No cheaper choice holds every rule.
    why_not_exact : str
        In one sentence; empty when it is.
    one_by_one_cost : float or None
        What choosing one circuit at a time costs [currency]; None when that finds
        nothing for some circuit.
    plans_tried : int
        Plans checked against every rule.
    """

    design: Design
    proposals: tuple[Proposal, ...]
    cost: float
    mass_kg: float
    is_exact: bool
    why_not_exact: str
    one_by_one_cost: float | None
    plans_tried: int

    @property
    def saving(self) -> float | None:
        """What searching together saves against one at a time [currency]."""
        return None if self.one_by_one_cost is None else self.one_by_one_cost - self.cost


@dataclass(frozen=True, kw_only=True)
class Search:
    """One search: what may be chosen, and what a figure of merit is made of.

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
    """

    design: Design
    circuit_ids: Sequence[str]
    cables: Callable[[Circuit], Sequence[CableChoice]]
    devices: Callable[[Circuit], Sequence[DeviceChoice]]
    cost_per_kg: float = 0.0
    _cuts: set[tuple[str, tuple[tuple[str, str], ...]]] = field(default_factory=set)

    def weigh(self, cost: float, mass_kg: float) -> float:
        """Return cost and mass as one figure; mass alone only breaks ties."""
        return cost + (self.cost_per_kg or 1e-6) * mass_kg

    def run(self) -> Found:
        """Return the cheapest choice by which every rule holds.

        Plans are made with drops that the true drops are never below, cheapest
        first, and each is checked by every rule on the solved network; the first
        that holds is the cheapest. What breaks is forbidden before the next plan.
        """
        start, one_by_one = propose_design(
            self.design, circuit_ids=self.circuit_ids, cables=self.cables, devices=self.devices
        )
        facts, _voltages = gather(start)
        chosen = [i for i in self.circuit_ids if not missing_for_proposal(facts[i])]
        total = None
        if all(proposal.is_complete for proposal in one_by_one):
            total = sum(proposal.cost for proposal in one_by_one)
        options = {
            i: options_for(
                facts[i],
                cables=self.cables(facts[i].circuit),
                devices=self.devices(facts[i].circuit),
                weigh=self.weigh,
            )
            for i in chosen
        }
        hopeless = [i for i in chosen if not options[i]]
        if hopeless or Tree(design=start).is_meshed:
            return self._one_by_one(start, one_by_one, total, hopeless)
        return self._plans(facts, options, start, one_by_one, total)

    def _plans(
        self,
        facts: Mapping[str, CircuitFacts],
        options: Mapping[str, tuple[Option, ...]],
        start: Design,
        one_by_one: tuple[Proposal, ...],
        total: float | None,
    ) -> Found:
        every = {c: options.get(c, (as_it_is(known),)) for c, known in facts.items()}
        for tried in range(1, MOST_PLANS + 1):
            planner = Planner(
                design=start, facts=facts, options=every, weigh=self.weigh, cuts=self._cuts
            )
            plan = planner.best()
            if plan is None or not plan.keys() >= options.keys():
                break
            done, broken = self._checked(start, plan, set(options))
            if not broken:
                proposals = self._proposals(done, plan, options)
                return Found(
                    design=done,
                    proposals=(*proposals, *_incomplete(one_by_one, options)),
                    cost=sum(p.cost for p in proposals),
                    mass_kg=sum(p.mass_kg for p in proposals),
                    is_exact=True,
                    why_not_exact="",
                    one_by_one_cost=total,
                    plans_tried=tried,
                )
            self._cuts.update(planner.cut(circuit_id, plan) for circuit_id in broken)
        return self._one_by_one(start, one_by_one, total, [])

    def _checked(
        self, start: Design, plan: Mapping[str, Choice], chosen: set[str]
    ) -> tuple[Design, list[str]]:
        """The design with a plan carried out, and the circuits that break a rule."""
        design = start
        for circuit_id in chosen:
            design = replaced(design, plan[circuit_id].circuit)
        facts, voltages = gather(design)
        asked = ASKED_RULES - WISHED_RULES
        broken = [i for i in chosen if broken_rules(facts[i], asked)]
        if not broken and not all(state.solved for state in voltages.states.values()):
            broken = sorted(chosen)
        return design, broken

    def _proposals(
        self,
        done: Design,
        plan: Mapping[str, Choice],
        options: Mapping[str, tuple[Option, ...]],
    ) -> tuple[Proposal, ...]:
        return tuple(
            Proposal(
                circuit_id=circuit_id,
                cable=plan[circuit_id].option.cable,
                device=plan[circuit_id].device,
                device_at_end=plan[circuit_id].option.devices_needed == 2,
                cost=plan[circuit_id].cost,
                mass_kg=plan[circuit_id].mass_kg,
                decided_by=self._decided_by(done, plan[circuit_id]),
            )
            for circuit_id in options
        )

    def _decided_by(self, done: Design, choice: Choice) -> tuple[Finding, ...]:
        """What the next cheaper cable would break anywhere in the vessel."""
        chosen = choice.option.cable
        if chosen is None:
            return ()
        on_offer = self.cables(choice.circuit)
        cheaper = [c for c in on_offer if c.cost_per_m < chosen.cost_per_m]
        if not cheaper:
            return ()
        nearest = max(cheaper, key=lambda cable: cable.cost_per_m)
        circuit = replace(choice.circuit, cable=nearest.cable)
        facts, _voltages = gather(replaced(done, circuit))
        first = broken_rules(facts[circuit.id])
        others = (broken_rules(f) for i, f in facts.items() if i != circuit.id)
        return (*first, *(finding for found in others for finding in found))

    def _one_by_one(
        self,
        start: Design,
        proposals: tuple[Proposal, ...],
        total: float | None,
        hopeless: list[str],
    ) -> Found:
        labels = {c.id: c.label for c in start.circuits}
        if hopeless:
            names = ", ".join(labels[i] for i in hopeless)
            why = f"Nothing on offer holds every rule of {names}."
        elif Tree(design=start).is_meshed:
            why = "Current can divide, so drops depend on every choice at once."
        else:
            why = f"No choice that holds every rule was found in {len(self._cuts)} tries."
        return Found(
            design=start,
            proposals=proposals,
            cost=sum(p.cost for p in proposals),
            mass_kg=sum(p.mass_kg for p in proposals),
            is_exact=False,
            why_not_exact=why,
            one_by_one_cost=total,
            plans_tried=len(self._cuts),
        )


def _incomplete(
    proposals: tuple[Proposal, ...], options: Mapping[str, object]
) -> tuple[Proposal, ...]:
    return tuple(p for p in proposals if p.circuit_id not in options)


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
        against choosing one circuit at a time.

    Notes
    -----
    Exact for a radial system, with loaded neighbours in cableways counted as in the
    one-at-a-time choice. Where current can divide, or nothing on offer holds, the
    one-at-a-time choice is returned and said to be so.
    """
    return Search(
        design=design,
        circuit_ids=circuit_ids,
        cables=cables,
        devices=devices,
        cost_per_kg=cost_per_kg,
    ).run()
