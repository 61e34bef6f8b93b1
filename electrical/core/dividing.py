"""Currents that adding up can not tell: where they divide, the solved network says how."""

from collections.abc import Iterable, Mapping

from electrical.core.design import Circuit, CircuitRole, OperatingState, ParallelLink
from electrical.core.results import CurrentResult
from electrical.core.tree import RING, Tree
from electrical.core.voltages import Voltages

#: What a circuit carries, and what is not known of it.
Known = tuple[CurrentResult, tuple[str, ...]]


def as_solved(tree: Tree, currents: Mapping[str, Known], voltages: Voltages) -> Mapping[str, Known]:
    """Return the currents with those of dividing leads taken from the solved network.

    Parameters
    ----------
    tree : Tree
        The design by points.
    currents : Mapping
        What adding up told, by circuit.
    voltages : Voltages
        Solved operating states.

    Returns
    -------
    Mapping
        In a meshed design every run between points is as solved, in any design the
        leads of an emergency link that can start an engine. A lead that is not laid out,
        or a design with a state without an operating point, keeps what adding up told.
    """
    if not tree.is_meshed and not tree.design.links:
        return currents
    emergencies = [state for state in tree.design.states if state.emergency]
    emergency = {state.id for state in emergencies}
    usual = voltages.states.keys() - emergency
    found = dict(currents)
    for circuit in tree.design.circuits:
        is_lead = circuit.role is CircuitRole.LINK
        if is_lead and not (emergencies and _starts(tree, circuit, emergencies)):
            continue
        if is_lead or (tree.is_meshed and circuit.to_id is not None):
            asked = emergency if is_lead else usual
            if all(voltages.states[state_id].solved for state_id in asked):
                found[circuit.id] = _solved(circuit, *currents[circuit.id], voltages)
    return found


def _starts(tree: Tree, lead: Circuit, emergencies: Iterable[OperatingState]) -> bool:
    """Whether an engine is started through a lead, and what it then draws is known."""
    link = tree.design.points[lead.to_id or ""]
    if not isinstance(link, ParallelLink) or not tree.can_start(link):
        return False
    asked = [tree.start_demand(link, state) for state in emergencies]
    return all(demand.current_a > 0.0 and not demand.unknown for demand in asked)


def _solved(
    circuit: Circuit, current: CurrentResult, unknown: tuple[str, ...], voltages: Voltages
) -> Known:
    laid_out = circuit.cable is not None and circuit.route is not None
    if circuit.role is CircuitRole.CHARGING or not laid_out:
        return current, unknown
    by_state_a = {
        i: state.circuit_a.get(circuit.id, 0.0) if state.solved else current.by_state_a[i]
        for i, state in voltages.states.items()
    }
    worst = max(by_state_a, key=lambda state_id: by_state_a[state_id])
    ratio = by_state_a[worst] / current.design_a if current.design_a else 1.0
    solved = current._replace(
        by_state_a=by_state_a,
        worst_state_id=worst,
        design_a=by_state_a[worst],
        continuous_a=current.continuous_a * ratio,
        start_a=None if current.start_a is None else current.start_a * ratio,
    )
    return solved, tuple(name for name in unknown if not name.startswith(RING))
