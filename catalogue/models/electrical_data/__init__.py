"""Electrical data by kind of part: one typed, validated record per kind."""

from catalogue.models.parts import PartKind

from .backbone import DataCableData, DataDeviceData, DataGrade
from .base import ElectricalData
from .distribution import (
    BoardData,
    BusbarData,
    CableData,
    FuseHolderData,
    ProtectionKind,
    ProtectiveDeviceData,
    SwitchData,
    TerminalData,
    TerminalForm,
)
from .loads import LoadData, LoadFunction, LoadNature, OutletData
from .sources import (
    BatteryData,
    BatteryUse,
    ChargingKind,
    ChargingSourceData,
    Chemistry,
    ConverterData,
    InverterData,
    Matching,
    RegulatorData,
    SolarPanelData,
)

DATA_BY_KIND: dict[str, type[ElectricalData]] = {
    PartKind.LOAD: LoadData,
    PartKind.BATTERY: BatteryData,
    PartKind.CHARGING_SOURCE: ChargingSourceData,
    PartKind.SOLAR_PANEL: SolarPanelData,
    PartKind.REGULATOR: RegulatorData,
    PartKind.CONVERTER: ConverterData,
    PartKind.INVERTER: InverterData,
    PartKind.PROTECTIVE_DEVICE: ProtectiveDeviceData,
    PartKind.SWITCH: SwitchData,
    PartKind.BUSBAR: BusbarData,
    PartKind.BOARD: BoardData,
    PartKind.CABLE: CableData,
    PartKind.OUTLET: OutletData,
    PartKind.DATA_DEVICE: DataDeviceData,
    PartKind.DATA_CABLE: DataCableData,
    PartKind.TERMINAL: TerminalData,
    PartKind.FUSE_HOLDER: FuseHolderData,
}

__all__ = [
    "DATA_BY_KIND",
    "BatteryData",
    "BatteryUse",
    "BoardData",
    "BusbarData",
    "CableData",
    "ChargingKind",
    "ChargingSourceData",
    "Chemistry",
    "ConverterData",
    "DataCableData",
    "DataDeviceData",
    "DataGrade",
    "ElectricalData",
    "FuseHolderData",
    "InverterData",
    "LoadData",
    "LoadFunction",
    "LoadNature",
    "Matching",
    "OutletData",
    "ProtectionKind",
    "ProtectiveDeviceData",
    "RegulatorData",
    "SolarPanelData",
    "SwitchData",
    "TerminalData",
    "TerminalForm",
]
