"""What the circuits are made of, for purchasing: cable by the metre, protective devices."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from catalogue.models import Part
from electrical.adapters.routes import runs_of
from electrical.facts import load_facts
from electrical.models import Circuit
from fitout.jobs.models import Job


@dataclass(frozen=True, kw_only=True)
class CircuitNeed:
    part: Part
    quantity: Decimal
    circuit: Circuit


def needs(job: Job) -> list[CircuitNeed]:
    """Each part a circuit takes; a two-core cable carries both conductors in one length."""
    facts = load_facts(job)
    runs = runs_of(facts)
    found: list[CircuitNeed] = []
    for circuit in facts.circuits:
        found += _of_circuit(circuit, runs[circuit.pk].length_m)
    return found


def _of_circuit(circuit: Circuit, length_m: float | None) -> list[CircuitNeed]:
    found = []
    if circuit.cable is not None and length_m is not None:
        conductors = 1 if circuit.cable.cabledata.cores >= 2 else 2
        metres = Decimal(f"{length_m * conductors:.1f}")
        found.append(CircuitNeed(part=circuit.cable, quantity=metres, circuit=circuit))
    for device in (circuit.protection, circuit.end_protection):
        if device is not None:
            found.append(CircuitNeed(part=device, quantity=Decimal(1), circuit=circuit))
    return found
