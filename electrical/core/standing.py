"""A whole choice for a vessel: what it costs, whether it holds, what would be cheaper."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from operator import itemgetter

from electrical.core.asked import broken_rules, given_up
from electrical.core.choices import CableChoice, DeviceChoice, Figure, Proposal, Weigh
from electrical.core.design import Circuit, Design
from electrical.core.facts import CircuitFacts, gather
from electrical.core.findings import Finding, Severity
from electrical.core.options import Option, best_device, with_device
from electrical.core.ordering import replaced
from electrical.core.planning import WISHED_AHEAD, Plan

#: What adds no more than this adds nothing.
LEVEL = Figure(0, 1e-9)


@dataclass(frozen=True, kw_only=True)
class Pick:
    """What is fitted in one circuit.

    Parameters
    ----------
    circuit : Circuit
        With cable and devices.
    cable : CableChoice
        The cable.
    device : DeviceChoice or None
        The device.
    device_at_end : bool
        The same device is at the far end too.
    cost : float
        Of cable and devices [currency].
    mass_kg : float
        Of cable and devices [kg].
    """

    circuit: Circuit
    cable: CableChoice
    device: DeviceChoice | None
    device_at_end: bool
    cost: float
    mass_kg: float


def picks_of(plan: Plan) -> dict[str, Pick]:
    """Return a plan as picks, circuits that stay as they are left out.

    Parameters
    ----------
    plan : dict
        Choice by circuit.

    Returns
    -------
    dict
        Pick by circuit.
    """
    return {
        circuit_id: Pick(
            circuit=choice.circuit,
            cable=choice.option.cable,
            device=choice.device,
            device_at_end=choice.option.devices_needed == 2,
            cost=choice.cost,
            mass_kg=choice.mass_kg,
        )
        for circuit_id, choice in plan.items()
        if choice.option.cable is not None
    }


def picks_proposed(design: Design, proposals: Iterable[Proposal]) -> dict[str, Pick]:
    """Return complete proposals as picks.

    Parameters
    ----------
    design : Design
        With the proposals carried out.
    proposals : Iterable of Proposal
        The proposals.

    Returns
    -------
    dict
        Pick by circuit.
    """
    circuits = {circuit.id: circuit for circuit in design.circuits}
    return {
        p.circuit_id: Pick(
            circuit=circuits[p.circuit_id],
            cable=p.cable,
            device=p.device,
            device_at_end=p.device_at_end,
            cost=p.cost,
            mass_kg=p.mass_kg,
        )
        for p in proposals
        if p.cable is not None
    }


def _option_pick(option: Option, device: DeviceChoice | None) -> Pick | None:
    if option.cable is None:
        return None
    both = option.devices_needed == 2
    needed = option.devices_needed if device else 0
    return Pick(
        circuit=with_device(option.facts, device, both=both).circuit,
        cable=option.cable,
        device=device,
        device_at_end=both,
        cost=option.cable_cost + needed * (device.cost if device else 0.0),
        mass_kg=option.cable_mass_kg + needed * (device.mass_kg if device else 0.0),
    )


@dataclass(frozen=True, kw_only=True)
class Standing:
    """One pick for every circuit that is to be chosen.

    Parameters
    ----------
    base : Design
        The design the picks are put into.
    picks : Mapping[str, Pick]
        Pick by circuit.
    """

    base: Design
    picks: Mapping[str, Pick]

    @property
    def cost(self) -> float:
        """Of all cables and devices [currency]."""
        return sum(pick.cost for pick in self.picks.values())

    @property
    def mass_kg(self) -> float:
        """Of all cables and devices [kg]."""
        return sum(pick.mass_kg for pick in self.picks.values())

    @cached_property
    def design(self) -> Design:
        """The design with every pick in it."""
        circuits = tuple(
            self.picks[c.id].circuit if c.id in self.picks else c for c in self.base.circuits
        )
        return replace(self.base, circuits=circuits)

    @cached_property
    def facts(self) -> Mapping[str, CircuitFacts]:
        """Facts of every circuit."""
        return gather(self.design)[0]

    @cached_property
    def given_up(self) -> Mapping[str, int | None]:
        """What each chosen circuit gives up that is only wished for; None where it breaks more."""
        return {i: given_up(broken_rules(self.facts[i])) for i in self.picks}

    def figure(self, weigh: Weigh) -> Figure:
        """Return what it gives up and costs, circuits that break a rule left out of the first."""
        return Figure(sum(n or 0 for n in self.given_up.values()), weigh(self.cost, self.mass_kg))

    @cached_property
    def broken(self) -> tuple[str, ...]:
        """Chosen circuits that break a rule; all of them when a state has no solution."""
        bad = tuple(i for i, wishes in self.given_up.items() if wishes is None)
        if bad or not self.picks:
            return bad
        states = next(iter(self.facts.values())).voltages.states.values()
        return bad if all(state.solved for state in states) else tuple(self.picks)

    def with_pick(self, pick: Pick) -> "Standing":
        """Return the same choice with one circuit picked otherwise."""
        return Standing(base=self.base, picks={**self.picks, pick.circuit.id: pick})

    def proposals(self, cables: Callable[[Circuit], Iterable[CableChoice]]) -> tuple[Proposal, ...]:
        """Return one proposal per circuit, with what the next cheaper cable would break."""
        return tuple(
            Proposal(
                circuit_id=circuit_id,
                cable=pick.cable,
                device=pick.device,
                device_at_end=pick.device_at_end,
                cost=pick.cost,
                mass_kg=pick.mass_kg,
                decided_by=self._decided_by(pick, cables(pick.circuit)),
            )
            for circuit_id, pick in self.picks.items()
        )

    def _decided_by(self, pick: Pick, on_offer: Iterable[CableChoice]) -> tuple[Finding, ...]:
        cheaper = [cable for cable in on_offer if cable.cost_per_m < pick.cable.cost_per_m]
        if not cheaper:
            return ()
        nearest = max(cheaper, key=lambda cable: cable.cost_per_m)
        thinner = replace(pick.circuit, cable=nearest.cable)
        changed, _voltages = gather(replaced(self.design, thinner))
        own_first = sorted(changed, key=lambda circuit_id: circuit_id != thinner.id)
        findings = (f for circuit_id in own_first for f in broken_rules(changed[circuit_id]))
        return tuple(f for f in findings if _what(f) not in self._broken_as_it_is)

    @cached_property
    def _broken_as_it_is(self) -> frozenset[tuple[str, str, Severity]]:
        return frozenset(_what(f) for known in self.facts.values() for f in broken_rules(known))


def _what(finding: Finding) -> tuple[str, str, Severity]:
    return finding.rule_id, finding.subject.id, finding.severity


def improved(
    standing: Standing,
    options: Mapping[str, tuple[Option, ...]],
    weigh: Weigh,
    *,
    most_checks: int,
) -> Standing:
    """Return a choice which no single other pick makes better.

    Parameters
    ----------
    standing : Standing
        A choice that holds.
    options : Mapping[str, tuple of Option]
        Options by circuit.
    weigh : callable
        Cost [currency] and mass [kg] to one figure.
    most_checks : int
        How many checks may be spent.

    Returns
    -------
    Standing
        The same, or one that gives up less or as much at less cost; it holds every rule.

    Notes
    -----
    What gives up least and saves most is tried first: saving = weigh(old) − weigh(new).
    """
    best, left = standing, most_checks
    moved = True
    while moved and left > 0:
        moved = False
        for pick in _better_picks(best, options, weigh):
            left -= 1
            trial = best.with_pick(pick)
            if not trial.broken and trial.figure(weigh).is_below(best.figure(weigh)):
                best, moved = trial, True
                break
            if left <= 0:
                break
    return best


def mended(
    standing: Standing,
    options: Mapping[str, tuple[Option, ...]],
    weigh: Weigh,
    *,
    below: Figure,
    most_checks: int,
) -> Standing | None:
    """Return the best choice that holds and differs from a broken one in one circuit.

    Parameters
    ----------
    standing : Standing
        A choice that breaks a rule by a hair.
    options : Mapping[str, tuple of Option]
        Options by circuit.
    weigh : callable
        Cost [currency] and mass [kg] to one figure.
    below : Figure
        What it has to stay below.
    most_checks : int
        How many checks may be spent.

    Returns
    -------
    Standing or None
        None when no single other pick mends it.

    Notes
    -----
    What adds least is tried first: change = weigh(new) − weigh(old).
    """
    figure = standing.figure(weigh)
    changes = ((more, pick) for more, pick in _changes(standing, options, weigh) if more > LEVEL)
    for more, pick in sorted(changes, key=itemgetter(0))[:most_checks]:
        if not figure.plus(more).is_below(below):
            break
        trial = standing.with_pick(pick)
        if not trial.broken and trial.figure(weigh).is_below(below):
            return trial
    return None


def _better_picks(
    standing: Standing, options: Mapping[str, tuple[Option, ...]], weigh: Weigh
) -> list[Pick]:
    better = (
        (more, pick)
        for more, pick in _changes(standing, options, weigh)
        if more.is_below(Figure(0, 0.0), margin=LEVEL.spent)
    )
    return [pick for _more, pick in sorted(better, key=itemgetter(0))]


def _changes(
    standing: Standing, options: Mapping[str, tuple[Option, ...]], weigh: Weigh
) -> Iterator[tuple[Figure, Pick]]:
    """Every other cable for one circuit, with its best device, and what that adds."""
    for circuit_id, some in options.items():
        now = standing.picks.get(circuit_id)
        if now is None:
            continue
        here = standing.facts[circuit_id]
        spent = weigh(now.cost, now.mass_kg)
        for option in some:
            faulted = replace(here, circuit=option.facts.circuit)
            best = best_device(option, faulted, WISHED_AHEAD)
            pick = _option_pick(option, best[1]) if best else None
            if best is not None and pick is not None:
                more = best[0] - (standing.given_up[circuit_id] or 0)
                yield Figure(more, weigh(pick.cost, pick.mass_kg) - spent), pick


def most_favourable(
    standing: Standing, keep: Iterable[str], options: Mapping[str, tuple[Option, ...]]
) -> Standing:
    """Return the choice that does most for a run: every other circuit as thick as may be.

    Parameters
    ----------
    standing : Standing
        A choice.
    keep : Iterable of str
        Circuits that stay as they are.
    options : Mapping[str, tuple of Option]
        Options by circuit.

    Returns
    -------
    Standing
        Thick cables draw the least current through shared feeders and heat least.
    """
    kept = set(keep)
    picks = dict(standing.picks)
    for circuit_id, some in options.items():
        if circuit_id not in kept:
            thickest = min(some, key=lambda option: max(option.loop_r_ohm.values()))
            pick = _option_pick(thickest, thickest.devices[0])
            if pick is not None:
                picks[circuit_id] = pick
    return Standing(base=standing.base, picks=picks)
