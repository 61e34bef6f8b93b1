"""How the demo vessels are used; as their owners might have told it, invented for the demo."""

from dataclasses import dataclass
from decimal import Decimal

from electrical.day_plans import HOURS, add_profile, day_of
from electrical.models import Device, OperatingState, UseProfile
from fitout.jobs.models import Job
from fitout.kit.models import User

IDLE, SHORE = OperatingState.IDLE, OperatingState.SHORE
ANCHOR, WORKING = OperatingState.AT_ANCHOR, OperatingState.WORKING
BY_DAY, BY_NIGHT = OperatingState.UNDER_WAY_DAY, OperatingState.UNDER_WAY_NIGHT


@dataclass(frozen=True)
class Use:
    name: str
    days: str
    hours: tuple[tuple[str, int], ...]
    season: tuple[int | None, int | None] = (None, None)


WORKBOAT = (
    Use(
        "Working day",
        "5",
        ((IDLE, 5), (BY_NIGHT, 1), (WORKING, 4), (ANCHOR, 2), (WORKING, 3), (BY_DAY, 1), (IDLE, 8)),
    ),
    Use("Harbour day", "2", ((IDLE, 9), (ANCHOR, 2), (SHORE, 4), (IDLE, 9))),
)
LAUNCH = (
    Use(
        "Survey day",
        "4",
        ((IDLE, 7), (BY_DAY, 1), (WORKING, 5), (ANCHOR, 1), (WORKING, 2), (BY_DAY, 1), (IDLE, 7)),
    ),
    Use("Harbour day", "3", ((IDLE, 8), (SHORE, 8), (IDLE, 8))),
)
DAY_BOAT = (
    Use(
        "Day out",
        "2",
        ((IDLE, 9), (BY_DAY, 2), (ANCHOR, 3), (BY_DAY, 2), (IDLE, 8)),
        (4, 10),
    ),
    Use(
        "Night at anchor",
        "1",
        ((ANCHOR, 10), (BY_DAY, 2), (ANCHOR, 5), (BY_DAY, 1), (ANCHOR, 6)),
        (4, 10),
    ),
    Use("On the mooring", "4", ((IDLE, 24),), (4, 10)),
    Use("Laid up ashore", "7", ((IDLE, 12), (SHORE, 2), (IDLE, 10)), (11, 3)),
)
VAN = (
    Use("Travelling day", "3", ((ANCHOR, 9), (BY_DAY, 4), (ANCHOR, 6), (BY_NIGHT, 1), (ANCHOR, 4))),
    Use("Standing day", "4", ((ANCHOR, 24),)),
)
BY_VESSEL = {"Terrapin": LAUNCH, "Saffron": DAY_BOAT, "Hedgerow": VAN}


def tell_use(job: Job, by: User) -> None:
    """What is there already stays; without a mains charger nobody charges from shore."""
    if UseProfile.objects.filter(job=job).exists():
        return
    has_charger = Device.objects.filter(
        job=job, line__part__chargingsourcedata__source="mains"
    ).exists()
    for use in BY_VESSEL.get(job.vessel.name, WORKBOAT):
        spans = [
            (IDLE if state == SHORE and not has_charger else state, hours)
            for state, hours in use.hours
        ]
        states = day_of(*spans)
        if len(states) != HOURS:
            raise ValueError(f"Demo use profile {use.name}: {len(states)} hours, must be 24.")
        add_profile(
            job,
            by=by,
            name=use.name,
            states=states,
            days_per_week=Decimal(use.days),
            season=use.season,
        )
