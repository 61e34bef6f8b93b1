"""Load flow and fault level of a vessel's wiring.

Build a :class:`Network`, then :func:`solve` it or ask for :func:`fault_currents`.
"""

from electrical.core.network.faults import ASSUMPTIONS, FaultCurrent, fault_currents
from electrical.core.network.model import (
    MIN_RESISTANCE_OHM,
    Branch,
    BranchKind,
    Converter,
    Load,
    Network,
    Source,
)
from electrical.core.network.recover import ConservationError
from electrical.core.network.solution import NoOperatingPoint, Reason, Solved
from electrical.core.network.solve import solve

__all__ = [
    "ASSUMPTIONS",
    "MIN_RESISTANCE_OHM",
    "Branch",
    "BranchKind",
    "ConservationError",
    "Converter",
    "FaultCurrent",
    "Load",
    "Network",
    "NoOperatingPoint",
    "Reason",
    "Solved",
    "Source",
    "fault_currents",
    "solve",
]
