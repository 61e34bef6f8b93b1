"""The inputs of a year as the core's energy design. Loads numpy; import it where it is used."""

from __future__ import annotations

from catalogue.models.electrical_data import Matching
from electrical.core.energy.chemistry import Sourced
from electrical.core.energy.solar import Panels, Regulator, RegulatorKind
from electrical.core.energy.vessel import Array, EnergyDesign
from electrical.core.energy.weather import Climate
from electrical.core.status import SourceStatus
from electrical.year.inputs import Panels as OnePanel
from electrical.year.inputs import YearInputs

KINDS = {
    Matching.TRACKING: RegulatorKind.TRACKING,
    Matching.SWITCHED: RegulatorKind.SWITCHED,
}
UNKNOWN_SOURCE = "no source given"


def energy_design(inputs: YearInputs) -> EnergyDesign:
    """Of complete inputs; the core refuses a climate that cannot be, with `BadInput`."""
    return EnergyDesign(
        battery=inputs.battery,
        profiles=inputs.profiles,
        loads=inputs.loads,
        chargers=inputs.chargers,
        arrays=tuple(_array(panels) for panels in inputs.panels),
        climate=_climate(inputs),
    )


def _climate(inputs: YearInputs) -> Climate | None:
    sun = [value for value in inputs.irradiation_kwh_m2_day if value is not None]
    air = [value for value in inputs.air_c if value is not None]
    if inputs.latitude_deg is None or len(sun) < 12 or len(air) < 12:
        return None
    source = inputs.source or UNKNOWN_SOURCE
    return Climate(
        latitude_deg=inputs.latitude_deg,
        irradiation_kwh_m2_day=tuple(
            Sourced(value, SourceStatus.SECOND_HAND, source) for value in sun
        ),
        ambient_c=tuple(air),
    )


def _array(panels: OnePanel) -> Array:
    usual = Regulator(label=panels.regulator).efficiency
    return Array(
        panels=Panels(
            label=panels.label,
            peak_w=panels.peak_w,
            count=panels.count,
            in_series=panels.in_series,
            open_circuit_v=panels.voc_v,
            max_power_v=panels.vmp_v,
            voltage_coefficient_per_c=panels.voc_per_c,
            tilt_deg=panels.tilt_deg,
            azimuth_deg=panels.facing_deg,
        ),
        regulator=Regulator(
            label=panels.regulator,
            kind=KINDS[Matching(panels.matching)],
            max_output_a=panels.output_a,
            max_input_v=panels.max_input_v,
            efficiency=usual if panels.efficiency is None else panels.efficiency,
        ),
    )
