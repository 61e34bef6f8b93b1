from electrical.models.backbone import DataBackbone, DataTee
from electrical.models.circuits import Circuit, CircuitDevice, CircuitRole
from electrical.models.devices import Device
from electrical.models.plans import DayPlan, DutyOverride, HomePort, OperatingState
from electrical.models.together import JointChoice, JointStatus

__all__ = [
    "Circuit",
    "CircuitDevice",
    "CircuitRole",
    "DataBackbone",
    "DataTee",
    "DayPlan",
    "Device",
    "DutyOverride",
    "HomePort",
    "JointChoice",
    "JointStatus",
    "OperatingState",
]
