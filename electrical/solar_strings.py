"""The string on a panel's lead, for the panel's page: each value, its formula and its source."""

from collections.abc import Iterator

from catalogue.models import SolarPanelData
from electrical.adapters.points import in_series
from electrical.core.energy.solar import Regulator, cold_string
from electrical.core.errors import BadInput, OutOfTable
from electrical.facts import Facts, record_of
from electrical.models import Device
from electrical.solar_rules import panels_of
from electrical.working import FOLLOWS, NBSP, PARTS, Step


def string_steps(facts: Facts, panel: Device) -> list[Step]:
    """Nothing for what is no panel, or shares the lead of another."""
    record = record_of(panel)
    if not isinstance(record, SolarPanelData) or panel.in_series_with_id is not None:
        return []
    return list(_steps(facts, panel, record, in_series(facts, panel)))


def _steps(facts: Facts, panel: Device, record: SolarPanelData, count: int) -> Iterator[Step]:
    strung = [other.label for other in facts.devices if other.in_series_with_id == panel.pk]
    names = " and ".join([panel.label, *strung])
    yield Step("Panels in series", names, str(count), "as told of each panel")
    watts = f"{count} × {record.rated_w:.0f} W"
    yield Step("Rated power", watts, f"{count * record.rated_w:.0f}{NBSP}W", PARTS)
    if record.vmp_v is not None:
        volts = f"{count} × {record.vmp_v} V"
        yield Step("Voltage at rated power", volts, f"{count * record.vmp_v:.1f}{NBSP}V", PARTS)
    current = f"{record.isc_a:.2f}{NBSP}A"
    yield Step("Current in a short", "that of one panel, whatever the string", current, PARTS)
    yield cold_step(facts, panel, record)


def cold_step(facts: Facts, panel: Device, record: SolarPanelData) -> Step:
    """Open-circuit voltage of the panel's string at the lowest temperature told."""
    name, count = "Voltage on the coldest morning", in_series(facts, panel)
    lowest_c = facts.home_port.lowest_c if facts.home_port else None
    if lowest_c is None:
        return Step(name, "lowest temperature at the home port not told", "not known", "home port")
    try:
        cold = cold_string(
            panels_of(panel.label, record, count), Regulator(label=""), lowest_c=float(lowest_c)
        )
    except (OutOfTable, BadInput) as refused:
        return Step(name, str(refused), "not known", FOLLOWS)
    if cold is None:
        return Step(name, "open-circuit voltage not told", "not known", PARTS)
    formula = f"{count} × {record.voc_v} V × {cold.factor.value:.3f} at {lowest_c} °C"
    source = f"{cold.factor.source} ({cold.factor.status.value})"
    return Step(name, formula, f"{cold.string_v:.1f}{NBSP}V", source)
