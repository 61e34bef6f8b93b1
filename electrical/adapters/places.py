"""Zones as the electrician sees them."""

from electrical.core.parts import Place
from fitout.jobs.models import Environment, Vessel, VesselKind, Zone

LIVING_WORDS = ("cabin", "saloon", "berth", "living")
VEHICLES = (VesselKind.VAN, VesselKind.CARAVAN, VesselKind.OFFROAD)


def place_of(zone: Zone, vessel: Vessel) -> Place:
    """A zone that runs hot is held to the engine-space factors: stricter, never looser."""
    return Place(
        id=str(zone.pk),
        label=zone.name,
        engine_space=zone.environment == Environment.ENGINE or zone.hot,
        petrol_vapour=zone.petrol_vapour,
        living_space=is_lived_in(zone, vessel),
        ventilated=zone.ventilated,
        wet=zone.environment == Environment.WET,
    )


def is_lived_in(zone: Zone, vessel: Vessel) -> bool:
    if vessel.kind in VEHICLES:
        return zone.environment == Environment.DRY
    return any(word in zone.name.lower() for word in LIVING_WORDS)
