"""Emergency parallel switches: which two batteries they join."""

from catalogue.models import BatteryData, SwitchData
from catalogue.models.electrical_data import BatteryUse
from electrical.adapters.circuits import cable_of
from electrical.adapters.numbers import number, system_v
from electrical.adapters.routes import Router, point_of
from electrical.core.conductors import least_loop_r_ohm
from electrical.core.design import ParallelLink
from electrical.core.geometry import Way
from electrical.facts import Facts, record_of
from electrical.models import Device


def links_of(facts: Facts) -> tuple[ParallelLink, ...]:
    """Each emergency switch joins the first start battery and house battery of one voltage."""
    pair = _first_pair(facts)
    if pair is None:
        return ()
    return tuple(
        ParallelLink(
            id=str(device.pk),
            label=f"{device.label} {device.name}",
            first_id=str(pair[0].pk),
            second_id=str(pair[1].pk),
            rating_a=number(record.cranking_a or record.continuous_a),
            loop_r_ohm=_leads_r_ohm(facts, device, pair),
            current_limited=device.link_is_limited,
        )
        for device in facts.devices
        for record in [record_of(device)]
        if isinstance(record, SwitchData) and record.is_emergency_parallel
    )


def _leads_r_ohm(facts: Facts, switch: Device, pair: tuple[Device, Device]) -> float | None:
    """From battery to switch to battery along the cableways, cold: the largest current.

    The way back is not counted, which leaves the current larger than it will be.
    """
    cable = cable_of(switch.link_cable)
    if cable is None:
        return None
    router = Router(facts)
    ways = [router.way(point_of(switch), point_of(battery)) for battery in pair]
    lengths_m = [way.length_m for way in ways if isinstance(way, Way)]
    if len(lengths_m) < len(pair):
        return None
    # A loop of half the length is as much conductor as one lead of all of it.
    return least_loop_r_ohm(cable=cable, length_m=sum(lengths_m) / 2.0) or None


def _first_pair(facts: Facts) -> tuple[Device, Device] | None:
    by_use: dict[tuple[str, float], Device] = {}
    for device in facts.devices:
        record = record_of(device)
        if isinstance(record, BatteryData):
            by_use.setdefault((record.use, system_v(record.nominal_v)), device)
    for (use, volts), starter in by_use.items():
        house = by_use.get((BatteryUse.HOUSE, volts))
        if use == BatteryUse.START and house is not None:
            return starter, house
    return None
