from electrical.models.backbone import DataBackbone, DataTee
from electrical.models.circuits import Circuit, CircuitDevice, CircuitRole
from electrical.models.devices import Device
from electrical.models.earthing import Bond, Earthing
from electrical.models.plans import (
    DayPlan,
    DutyOverride,
    HomePort,
    OperatingState,
    PortMonth,
    ProfileSpan,
    UseProfile,
)
from electrical.models.together import JointChoice
from electrical.models.worked_out import WorkStatus
from electrical.models.years import EnergyYear

__all__ = [
    "Bond",
    "Circuit",
    "CircuitDevice",
    "CircuitRole",
    "DataBackbone",
    "DataTee",
    "DayPlan",
    "Device",
    "DutyOverride",
    "Earthing",
    "EnergyYear",
    "HomePort",
    "JointChoice",
    "OperatingState",
    "PortMonth",
    "ProfileSpan",
    "UseProfile",
    "WorkStatus",
]
