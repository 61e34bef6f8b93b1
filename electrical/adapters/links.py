"""Emergency parallel switches: which two batteries they join."""

from catalogue.models import BatteryData, SwitchData
from catalogue.models.electrical_data import BatteryUse
from electrical.adapters.numbers import number, system_v
from electrical.core.design import ParallelLink
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
        )
        for device in facts.devices
        for record in [record_of(device)]
        if isinstance(record, SwitchData) and record.is_emergency_parallel
    )


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
