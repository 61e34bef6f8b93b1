"""One finding with everything its figures came from."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property

from electrical.adapters.design import STATE_LABELS
from electrical.core.design import Circuit, Design, OperatingState
from electrical.core.findings import Finding
from electrical.core.parts import Protection
from electrical.core.results import CircuitResult, DesignResult
from electrical.core.tree import Tree
from electrical.facts import Facts
from electrical.finding_groups import source_of
from electrical.working import NBSP

#: Where the figures of a circuit are worked out, on its own page.
CURRENT = "Current, above"
CARRIES = "What the conductor may carry, above"
DROP = "Voltage drop, above"
FAULT = "Fault current, above"


@dataclass(frozen=True)
class How:
    """How one figure comes about, and from what."""

    formula: str
    source: str
    parts: tuple[tuple[str, float, str], ...] = ()
    """What is put together: name, figure and unit."""

    @property
    def part_texts(self) -> tuple[tuple[str, str], ...]:
        return tuple((name, _amount(figure, unit)) for name, figure, unit in self.parts)


def _amount(figure: float, unit: str) -> str:
    """Currents stand below one another, so each with as many decimals."""
    digits = f"{figure:.2f}" if unit == "A" else f"{figure:.4g}"
    return f"{digits}{NBSP}{unit}"


@dataclass(frozen=True)
class Solved:
    """A design with what the check found, by points."""

    design: Design
    result: DesignResult

    @cached_property
    def tree(self) -> Tree:
        return Tree(design=self.design)

    @cached_property
    def circuits(self) -> dict[str, Circuit]:
        return {circuit.id: circuit for circuit in self.design.circuits}

    @cached_property
    def states(self) -> dict[str, OperatingState]:
        return {state.id: state for state in self.design.states}


@dataclass(frozen=True)
class Case:
    finding: Finding
    facts: Facts | None
    of: Solved | None
    """None where the data could not be checked; only the rules of the build sheet speak then."""

    @property
    def clause(self) -> str:
        """Where the rule is printed, and how sure that is."""
        return source_of(self.finding.clause)

    @property
    def sheet(self) -> Facts:
        if self.facts is None:
            raise LookupError("nothing of the build sheet is known")
        return self.facts

    @property
    def solved(self) -> Solved:
        if self.of is None:
            raise LookupError("nothing was solved")
        return self.of

    @property
    def circuit(self) -> Circuit:
        return self.solved.circuits[self.finding.subject.id]

    @property
    def result(self) -> CircuitResult:
        return self.solved.result.circuits[self.finding.subject.id]

    @property
    def state(self) -> OperatingState:
        return self.solved.states[self.finding.state_id]

    @property
    def state_words(self) -> str:
        state_id = self.finding.state_id
        return STATE_LABELS.get(state_id, state_id)

    @property
    def is_far_end(self) -> bool:
        """About the device at the circuit's far end."""
        return self.finding.at_far_end

    @property
    def device(self) -> Protection:
        circuit = self.circuit
        found = circuit.protection_at_end if self.is_far_end else circuit.protection
        if found is None:
            raise LookupError(f"{circuit.label} has no such device")
        return found

    def named(self, circuit: Circuit) -> str:
        """Label and, where the build sheet is known, name."""
        row = self.facts.circuit_by_id.get(int(circuit.id)) if self.facts else None
        return f"{circuit.label} {row.name}" if row else circuit.label

    def devices_of(self, circuits: Iterable[Circuit]) -> tuple[tuple[str, float, str], ...]:
        """Ratings of their protective devices, as parts of a sum."""
        fitted = ((self.named(c), c.protection) for c in circuits)
        return tuple((name, device.rating_a, "A") for name, device in fitted if device)


Ways = Callable[[Case], tuple[How, How | None]]
"""Tells how the value and the limit of a finding come about."""
