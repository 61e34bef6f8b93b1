"""How many loaded conductors lie together in each cableway segment."""

from collections.abc import Mapping
from dataclasses import dataclass

from electrical.core.design import Circuit, CircuitRole, Design
from electrical.core.status import Clause, SourceStatus

#: A run below this share of its own ampacity does not heat its neighbours.
LIGHTLY_LOADED_SHARE = 0.3
LIGHTLY_LOADED_CLAUSE = Clause(
    source="IEC 60364-5-52", clause="523.5, lightly loaded conductors", status=SourceStatus.MEMORY
)


@dataclass(frozen=True, kw_only=True)
class Bundle:
    """The fullest cableway segment of one run.

    Parameters
    ----------
    conductors : int
        Loaded conductors there, this run's own included.
    segment_id : str
        That segment; empty when the run lies in none.
    """

    conductors: int
    segment_id: str = ""


def own_conductors(circuit: Circuit) -> int:
    """Return the conductors of one run: one per pole, more when in parallel.

    Parameters
    ----------
    circuit : Circuit
        The run.

    Returns
    -------
    int
        Conductors, 2 or more.
    """
    return 2 * (circuit.cable.in_parallel if circuit.cable else 1)


def fullest_bundle(
    design: Design,
    circuit: Circuit,
    *,
    current_a: Mapping[tuple[str, str], float],
    alone_a: Mapping[str, float],
) -> Bundle:
    """Return the fullest segment of a run over every state in which it is loaded.

    Parameters
    ----------
    design : Design
        The whole design.
    circuit : Circuit
        The run.
    current_a : Mapping[tuple[str, str], float]
        Current by (circuit, operating state) [A].
    alone_a : Mapping[str, float]
        Ampacity of each run without grouping [A].

    Returns
    -------
    Bundle
        This run's own conductors and those of every other run in the segment that
        carries more than 30 % of its own ampacity in the same state. Engine
        starting lasts seconds and is not counted.

    Notes
    -----
    n = n_own + Σ n_other over the runs with I > 0.3 · I_z in the same segment and state;
    the largest n over segments and states counts.

    References
    ----------
    .. [1] IEC 60364-5-52, 523.5 (from memory).
    """
    own = own_conductors(circuit)
    fullest = Bundle(conductors=own)
    if circuit.route is None:
        return fullest
    states = [s.id for s in design.states if current_a.get((circuit.id, s.id), 0.0) > 0.0]
    for segment_id in dict.fromkeys(circuit.route.segment_ids):
        neighbours = [c for c in design.circuits if c.id != circuit.id and _lies_in(c, segment_id)]
        for state_id in states:
            count = own + sum(
                own_conductors(c)
                for c in neighbours
                if current_a.get((c.id, state_id), 0.0)
                > LIGHTLY_LOADED_SHARE * alone_a.get(c.id, 0.0)
            )
            if count > fullest.conductors or not fullest.segment_id:
                fullest = Bundle(conductors=count, segment_id=segment_id)
    return fullest


def _lies_in(circuit: Circuit, segment_id: str) -> bool:
    return (
        circuit.route is not None
        and circuit.role is not CircuitRole.STARTING
        and segment_id in circuit.route.segment_ids
    )
