"""How many loaded conductors lie together in each cableway segment."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property

from electrical.core.ampacity import group_factor
from electrical.core.design import Circuit, CircuitRole, Design
from electrical.core.status import Clause, SourceStatus

#: A run below this share of its own grouped ampacity does not heat its neighbours.
LIGHTLY_LOADED_SHARE = 0.3
#: Loaded for seconds only: they do not heat their neighbours.
BRIEF_ROLES = frozenset({CircuitRole.STARTING, CircuitRole.LINK})
LIGHTLY_LOADED_CLAUSE = Clause(
    source="IEC 60364-5-52", clause="523.5, lightly loaded", status=SourceStatus.SECOND_HAND
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


#: One pair by itself, in no cableway.
LONELY = Bundle(conductors=2)


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


@dataclass(frozen=True, kw_only=True)
class LoadedSegments:
    """Which runs are loaded in which operating state, counted per cableway segment.

    Parameters
    ----------
    design : Design
        The whole design.
    current_a : Mapping[tuple[str, str], float]
        Current by (circuit, operating state) [A].
    alone_a : Mapping[str, float]
        Ampacity of each run without grouping [A].
    """

    design: Design
    current_a: Mapping[tuple[str, str], float]
    alone_a: Mapping[str, float]

    def is_loaded(self, circuit: Circuit, segment_id: str, state_id: str) -> bool:
        """Return whether a run heats its neighbours in a segment in a state."""
        if circuit.role in BRIEF_ROLES:
            return False
        current_a = self.current_a.get((circuit.id, state_id), 0.0)
        lightly_a = LIGHTLY_LOADED_SHARE * self.alone_a.get(circuit.id, 0.0)
        return current_a > 0.0 and current_a > lightly_a * self._factor.get(
            (segment_id, state_id), 1.0
        )

    @cached_property
    def _factor(self) -> Mapping[tuple[str, str], float]:
        """Grouping factor by (segment, operating state) with everything counted that is on."""
        return {key: group_factor(count) for key, count in self._counted(lambda *_: True).items()}

    @cached_property
    def conductors(self) -> Mapping[tuple[str, str], int]:
        """Loaded conductors by (segment, operating state)."""
        return self._counted(self.is_loaded)

    def _counted(self, counts: Callable[[Circuit, str, str], bool]) -> dict[tuple[str, str], int]:
        found: dict[tuple[str, str], int] = {}
        for circuit in self.design.circuits:
            if circuit.route is None or circuit.role in BRIEF_ROLES:
                continue
            segment_ids = set(circuit.route.segment_ids)
            for state in self.design.states if segment_ids else ():
                if self.current_a.get((circuit.id, state.id), 0.0) <= 0.0:
                    continue
                for segment_id in segment_ids:
                    if counts(circuit, segment_id, state.id):
                        key = (segment_id, state.id)
                        found[key] = found.get(key, 0) + own_conductors(circuit)
        return found

    def fullest(self, circuit: Circuit) -> Bundle:
        """Return the fullest segment of a run over every state in which it is loaded.

        This run's own conductors count, and those of every other run in the segment
        that carries more than 30 % of its own grouped ampacity in the same state [1]_,
        grouped with everything that is on there. Engine starting lasts seconds and is not
        counted, an emergency start neither.

        .. [1] IEC 60364-5-52 and BS 7671, 523.5 (second-hand).
        """
        own = own_conductors(circuit)
        fullest = LONELY if own == LONELY.conductors else Bundle(conductors=own)
        if circuit.route is None or not circuit.route.segment_ids:
            return fullest
        states = [
            state.id
            for state in self.design.states
            if self.current_a.get((circuit.id, state.id), 0.0) > 0.0
        ]
        for segment_id in dict.fromkeys(circuit.route.segment_ids):
            for state_id in states:
                others = self.conductors.get((segment_id, state_id), 0)
                if self.is_loaded(circuit, segment_id, state_id):
                    others -= own
                if own + others > fullest.conductors or not fullest.segment_id:
                    fullest = Bundle(conductors=own + others, segment_id=segment_id)
        return fullest
