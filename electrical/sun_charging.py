"""What the sun of a mean day brings the house batteries, and what sets it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from catalogue.models import PartKind, SolarPanelData
from electrical.adapters.numbers import number
from electrical.adapters.points import in_series, main_v
from electrical.core.energy.day import Charger, ChargerKind
from electrical.core.energy.solar import CHARGING_OVER_NOMINAL
from electrical.core.energy.sunshine import PanelDay, slope_gain
from electrical.core.errors import BadInput
from electrical.facts import Facts, record_of
from electrical.models import Device
from electrical.solar_rules import panels_of
from electrical.year.ports import months_of

NBSP = "\N{NO-BREAK SPACE}"


def sun_charging(facts: Facts) -> tuple[tuple[Charger, str], ...]:
    """All panels together, and what sets it; not known without a figure for the port's sun."""
    panels = {
        device: float(record.rated_w)
        for device in facts.of_kind(PartKind.SOLAR_PANEL)
        if isinstance(record := record_of(device), SolarPanelData)
    }
    power_w = sum(panels.values())
    if not power_w:
        return ()
    flat = number(facts.home_port.irradiation_kwh_m2_day) if facts.home_port else None
    gain, stands = _slopes(facts, panels)
    charger = Charger(
        charger_id="solar",
        label=f"Solar panels, {power_w:g} W",
        kind=ChargerKind.SOLAR,
        peak_w=power_w,
        irradiation_kwh_m2_day=None if flat is None else flat * gain,
    )
    refused = _refused(facts, panels)
    if refused is not None:
        missing = refused.quantity or "figure that can be"
        unknown = replace(charger, irradiation_kwh_m2_day=None, irradiation_missing=missing)
        return ((unknown, f"Cannot tell: {refused}"),)
    share = f"{100 * charger.derate:.0f}{NBSP}% of rated power (common practice, no source)"
    if flat is None:
        return ((charger, f"{share} in the sun at the home port, not told yet."),)
    source = facts.home_port.source if facts.home_port else ""
    sun = f"{flat:g}{NBSP}kWh/m² a day on the flat at the home port ({source or 'no source given'})"
    return ((charger, f"{share} in {sun}{stands}."),)


def _refused(facts: Facts, panels: Iterable[Device]) -> BadInput | None:
    """Why the year, too, takes no charge from the panels."""
    battery_v = main_v(facts) * CHARGING_OVER_NOMINAL
    for panel in panels:
        head = facts.device_by_id.get(panel.in_series_with_id or 0, panel)
        record = record_of(panel)
        if isinstance(record, SolarPanelData):
            try:
                string = panels_of(
                    f"{panel.label} {panel.short_name}", record, in_series(facts, head)
                )
                string.require_voltage_over(battery_v)
            except BadInput as refused:
                return refused
    return None


def _slopes(facts: Facts, panels: Mapping[Device, float]) -> tuple[float, str]:
    """Sun on the panels over that on the flat, weighed by their power, and its words."""
    sloped = [panel for panel in panels if panel.tilt_deg]
    port = facts.home_port
    if not sloped:
        return 1.0, ""
    months = sorted(months_of(port).items())
    monthly = [float(sun) for _, (sun, _air) in months if sun is not None]
    if port is None or port.latitude_deg is None or len(monthly) < 12:
        return 1.0, "; slopes left out until latitude and sun of twelve months are told"
    latitude_deg = float(port.latitude_deg)
    try:
        gain = sum(
            power_w * _gain(panel, latitude_deg, monthly) for panel, power_w in panels.items()
        ) / sum(panels.values())
    except BadInput as refused:
        return 1.0, f"; slopes left out: {str(refused).rstrip('.')}"
    return gain, f" × {gain:.3g} for how the panels stand, month by month as in the year"


def _gain(panel: Device, latitude_deg: float, monthly: list[float]) -> float:
    stands = PanelDay(
        latitude_deg=latitude_deg,
        tilt_deg=float(panel.tilt_deg or 0),
        azimuth_deg=number(panel.facing_deg),
    )
    return slope_gain(stands, monthly)
