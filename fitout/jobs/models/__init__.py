from fitout.jobs.models.customers import Customer
from fitout.jobs.models.hull import (
    CablewayNode,
    CablewaySegment,
    Environment,
    Vessel,
    VesselKind,
    Zone,
)
from fitout.jobs.models.jobs import Job, RuleSetChoice, Stage
from fitout.jobs.models.lines import Choice, Line, LineKind

__all__ = [
    "CablewayNode",
    "CablewaySegment",
    "Choice",
    "Customer",
    "Environment",
    "Job",
    "Line",
    "LineKind",
    "RuleSetChoice",
    "Stage",
    "Vessel",
    "VesselKind",
    "Zone",
]
