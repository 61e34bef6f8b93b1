"""Emergency parallel switches: which two batteries they join, and what they may carry."""

from collections.abc import Iterable, Iterator

from catalogue.models import BatteryData, PartKind, SwitchData
from catalogue.models.electrical_data import BatteryUse
from electrical.adapters.numbers import number, system_v
from electrical.adapters.places import place_of
from electrical.adapters.points import is_ignition_protected, label_of
from electrical.core.design import ParallelLink
from electrical.facts import Facts, is_parallel_switch, record_of
from electrical.models import Circuit, CircuitRole, Device

Pair = tuple[Device, Device]
"""The battery that starts the engine, and the one that helps it."""


def links_of(facts: Facts) -> tuple[ParallelLink, ...]:
    return tuple(_link(facts, switch, pair) for switch, pair in joined(facts))


def joined(facts: Facts) -> Iterator[tuple[Device, Pair]]:
    """Each emergency switch with the batteries at its leads; where these lack, with those
    nobody else joins yet."""
    switches = [device for device in facts.devices if is_parallel_switch(device)]
    taken = {lead.origin_id for switch in switches for lead in leads_of(facts, switch)}
    for switch in switches:
        pair = _pair(facts, [facts.origin_of(lead) for lead in leads_of(facts, switch)], taken)
        if pair is not None:
            taken |= {battery.pk for battery in pair}
            yield switch, pair


def leads_of(facts: Facts, switch: Device) -> tuple[Circuit, ...]:
    """The circuits that end at it, from a battery each."""
    return tuple(
        circuit
        for circuit in facts.fed_by.get(switch.pk, ())
        if circuit.role == CircuitRole.LINK and facts.origin_of(circuit).kind == PartKind.BATTERY
    )


def _link(facts: Facts, switch: Device, pair: Pair) -> ParallelLink:
    record = record_of(switch)
    data = record if isinstance(record, SwitchData) else None
    minutes_a = (data.intermittent_a or data.continuous_a) if data else None
    return ParallelLink(
        id=str(switch.pk),
        label=label_of(switch),
        first_id=str(pair[0].pk),
        second_id=str(pair[1].pk),
        rating_a=number(minutes_a),
        starting_a=number((data.cranking_a or minutes_a) if data else None),
        current_limited=switch.link_is_limited,
        place=place_of(switch.zone, facts.job.vessel),
        ignition_protected=is_ignition_protected(switch),
    )


def _pair(facts: Facts, at_leads: Iterable[Device], taken: set[int]) -> Pair | None:
    """Of one voltage; a lead that is there already says which."""
    found = list(dict.fromkeys(at_leads))
    batteries = [d for d in facts.of_kind(PartKind.BATTERY) if _volts(d) is not None]
    starters = [d for d in batteries if _use(d) == BatteryUse.START]
    if len(found) > 1:
        first, second = found[:2]
        return (second, first) if second in starters and first not in starters else (first, second)
    if found and found[0] not in starters:
        starters = _free_first([d for d in starters if _volts(d) == _volts(found[0])], taken)
        return (starters[0], found[0]) if starters else None
    for starter in found or _free_first(starters, taken):
        alike = [d for d in batteries if _volts(d) == _volts(starter) and d != starter]
        for uses in ((BatteryUse.HOUSE,), (BatteryUse.START,)):
            helpers = [d for d in alike if _use(d) in uses]
            if helpers:
                return starter, helpers[0]
    return None


def _free_first(devices: Iterable[Device], taken: set[int]) -> list[Device]:
    return sorted(devices, key=lambda device: device.pk in taken)


def _volts(battery: Device) -> float | None:
    record = record_of(battery)
    return system_v(record.nominal_v) if isinstance(record, BatteryData) else None


def _use(battery: Device) -> str:
    record = record_of(battery)
    return record.use if isinstance(record, BatteryData) else ""
