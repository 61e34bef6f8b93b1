"""Figures of the rules about sources, boards, converters, links and earthing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from electrical.core.design import Circuit, ParallelLink
from electrical.core.earthing import BondingConductor
from electrical.core.faults import emf_v, source_fault
from electrical.core.findings import SubjectKind
from electrical.core.netlist import EMPTY_SHARE
from electrical.core.rules.earthing import LEAST_BONDING
from electrical.core.rules.links import resistances_of
from electrical.core.rules.points import STARTING, behind_isolator
from electrical.core.rules.sharing import UNEVEN, sharing_on
from electrical.core.sources import Source
from electrical.reckoning.case import Case, How, Ways
from electrical.reckoning.of_circuits import ENTERED, of_size
from electrical.working import NETWORK, PARTS, PRACTICE

TOGETHER = "sum of what is on together"


def _sum(case: Case, circuits: Iterable[Circuit]) -> How:
    """Each circuit that carries something in the state the finding is about."""
    state = case.state
    amperes = [(case.named(c), case.solved.tree.demand(c, state).current_a, "A") for c in circuits]
    parts = tuple(part for part in amperes if part[1] > 0.0)
    return How(f"{TOGETHER}, {case.state_words}", PARTS, parts)


def _of_point(case: Case) -> How:
    return _sum(case, case.solved.tree.asking(case.finding.subject.id, case.state))


def _busbar(case: Case) -> tuple[How, How]:
    return _of_point(case), How("rating of the busbar", PARTS)


def _busbar_protected(case: Case) -> tuple[How, How]:
    feeders = case.solved.tree.feeders_of(case.finding.subject.id)
    devices = How("sum of the devices that feed it", PARTS, case.devices_of(feeders))
    return devices, How("rating of the busbar", PARTS)


def _isolator(case: Case) -> tuple[How, How]:
    """Running circuits against the continuous rating, starting ones against that for starting."""
    running, starting = behind_isolator(case.solved.tree, case.finding.subject.id)
    behind = starting if case.finding.basis == STARTING else running
    return _sum(case, behind), How(f"{case.finding.basis} rating of the isolator", PARTS)


def _management_limit(case: Case) -> tuple[How, How]:
    limit = How("limit of its battery management; no fault rating", PARTS)
    if case.finding.basis != STARTING:
        return _of_point(case), limit
    demand = case.solved.tree.point_demand(case.finding.subject.id, case.state)
    words = f"{demand.current_a:.4f} + {demand.start_extra_a:.4f}"
    what = f"what is on together and what the largest start adds, {case.state_words}"
    return How(words, f"{what}; {PARTS}"), limit


def _converter_output(case: Case) -> tuple[How, How]:
    return _of_point(case), How("largest output of the converter", PARTS)


def _converter_input(case: Case) -> tuple[How, How]:
    limit = How("input voltage below which it switches off", PARTS)
    circuit = case.solved.circuits[case.finding.basis]
    drop = case.solved.result.circuits[circuit.id].drop
    if drop is None:
        return How("voltage left at its input, worst state", NETWORK), limit
    where = f"voltage drop of {circuit.label}, on its page"
    return How(f"{circuit.nominal_v:g} − {drop.total_v:.3f}", where), limit


def _link_of(case: Case) -> ParallelLink:
    return next(link for link in case.solved.design.links if link.id == case.finding.subject.id)


def _link_current(case: Case) -> tuple[How, How]:
    link = _link_of(case)
    by_id = {source.id: source for source in case.solved.design.sources}
    joined = by_id[link.first_id], by_id[link.second_id]
    parts = (*_inside(joined), *_of_leads(case, link))
    empty_v = min(source.nominal_v for source in joined)
    full_v, r_ohm = max(map(emf_v, joined)), sum(figure for _name, figure, _unit in parts) / 1000.0
    words = f"({full_v:.3f} − {EMPTY_SHARE:g} × {empty_v:g}) ÷ {r_ohm:.6g}"
    return How(words, f"{PARTS}; batteries at rest, everything cold", parts), _link_limit(case)


def _inside(joined: Iterable[Source]) -> Iterator[tuple[str, float, str]]:
    for source in joined:
        found = source_fault(source)
        if found is not None and found.r_ohm is not None:
            yield f"inside {found.assumption}", found.r_ohm * 1000.0, "mΩ"


def _of_leads(case: Case, link: ParallelLink) -> Iterator[tuple[str, float, str]]:
    for name, ohm in resistances_of(case.solved.tree, link) or ():
        yield name, ohm * 1000.0, "mΩ"


def _link_limit(case: Case) -> How:
    if not case.finding.basis:
        return How("rating of the switch", PARTS)
    return How("what the lead named may carry", "on its page")


def _link_start(case: Case) -> tuple[How, How]:
    solved = How(f"the switch closed, {case.state_words}", NETWORK)
    return solved, How("starting rating of the switch", PARTS)


def _sharing(case: Case) -> tuple[How, How]:
    given = case.solved.result.states[case.finding.state_id].source_a
    boards = {board.id: board for board in case.solved.design.boards}
    found = [
        (battery.label, given.get(battery.id, 0.0), battery.capacity_ah or 0.0)
        for battery in sharing_on(case.solved.tree, boards[case.finding.subject.id])
    ]
    all_a, all_ah = sum(a for _, a, _ in found), sum(ah for _, _, ah in found)
    label, worst_a, worst_ah = max(found, key=lambda each: each[1] / (each[2] or 1.0))
    words = f"100 × {worst_a:.4f} ÷ ({all_a:.4f} × {worst_ah:g} ÷ {all_ah:g})"
    parts = tuple((f"{name}, of {ah:g} Ah", a, "A") for name, a, ah in found)
    where = f"what {label} gives, {case.state_words}; {NETWORK}"
    return How(words, where, parts), How(f"100 × {UNEVEN:g}", PRACTICE)


def _one_negative(case: Case) -> tuple[How, How]:
    limit = How("one where the negative is earthed, none where nothing is", case.clause)
    return How("places told", ENTERED), limit


def _bonding(case: Case) -> tuple[How, How]:
    bond = _bond_of(case)
    here = of_size(bond.size) if bond is not None and bond.size is not None else None
    supply = case.solved.circuits.get(bond.circuit_id or "") if bond else None
    words = f"never under {LEAST_BONDING.label}"
    if supply is not None and supply.cable is not None:
        words = f"one size under the {supply.cable.size.label} of {supply.label}, {words}"
    return here or How("nominal area", ENTERED), How(words, case.clause)


def _bond_of(case: Case) -> BondingConductor | None:
    earthing = case.solved.design.earthing
    bonds = earthing.bonding if earthing else ()
    found = (bond for bond in bonds if bond.id == case.finding.subject.id)
    return next(found, None) if case.finding.subject.kind is SubjectKind.PART else None


OF_POINTS: dict[str, Ways] = {
    "busbar": _busbar,
    "busbar-protected": _busbar_protected,
    "isolator": _isolator,
    "management-limit": _management_limit,
    "converter-output": _converter_output,
    "converter-input": _converter_input,
    "link-current": _link_current,
    "link-start": _link_start,
    "battery-sharing": _sharing,
    "one-negative": _one_negative,
    "bonding": _bonding,
}
