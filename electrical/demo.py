"""The wiring of the demo jobs: how each vessel is used, what was looked at, and wire up."""

from decimal import Decimal

from catalogue.models import PartKind
from electrical.data_backbone.editing import lay_out
from electrical.day_plans import set_duties, set_home_port
from electrical.demo_use import tell_use
from electrical.devices import refresh_devices, tell
from electrical.models import (
    Bond,
    Circuit,
    DataBackbone,
    Device,
    DutyOverride,
    Earthing,
    HomePort,
    OperatingState,
)
from electrical.models.earthing import EarthingWay
from electrical.wiring.wire_up import wire_up
from electrical.year.ports import set_year
from fitout.jobs.models import Job, VesselKind
from fitout.kit.audit import tracked
from fitout.kit.models import User

#: An inverter's record has no duties; the owners said how much they would use it.
INVERTER_DUTY = {
    OperatingState.AT_ANCHOR: Decimal("0.010"),
    OperatingState.WORKING: Decimal("0.030"),
}


#: A made-up coast: plausible for a mild Atlantic one, from no table [°, kWh/m² a day, °C].
SUN, COLDEST, LATITUDE = Decimal("2.60"), -6, Decimal("51.50")
SUN_BY_MONTH = (0.7, 1.4, 2.5, 4.0, 5.0, 5.3, 5.0, 4.2, 3.1, 1.8, 0.9, 0.6)
AIR_BY_MONTH = (7, 7, 8, 10, 12, 14, 16, 16, 15, 12, 9, 8)
INVENTED = "invented for the demo"
STRUNG_VESSEL = "Terrapin"
BOND_MM2 = Decimal(10)


def load(job: Job, by: User) -> None:
    """Through the same functions people use; what is there already stays."""
    refresh_devices(job, by)
    tell_use(job, by)
    if not HomePort.objects.filter(job=job).exists():
        set_home_port(
            job,
            by=by,
            irradiation_kwh_m2_day=SUN,
            lowest_c=COLDEST,
            source=INVENTED,
        )
    port = HomePort.objects.get(job=job)
    if not port.months.exists():
        set_year(
            job,
            by=by,
            version=port.version,
            latitude_deg=LATITUDE,
            source=port.source,
            months={
                month: (Decimal(str(sun)), Decimal(air))
                for month, (sun, air) in enumerate(
                    zip(SUN_BY_MONTH, AIR_BY_MONTH, strict=True), start=1
                )
            },
        )
    _earthed(job, by)
    _batteries_held(job, by)
    _inverters(job, by)
    _strings(job, by)
    _backbone(job, by)
    if not Circuit.objects.filter(job=job).exists():
        wire_up(job, by)


def _earthed(job: Job, by: User) -> None:
    """Negative to the engine, the hull or the body at one place; a metal tank bonded in green."""
    if Earthing.objects.filter(job=job).exists():
        return
    with tracked(actor=by, scope=job.scope, label="Earthing", action="wiring.change") as change:
        told = {"way": EarthingWay.NEGATIVE, "joints": 1, "changed_by": by}
        change.created(Earthing.objects.create(job=job, **told))
        if job.vessel.kind == VesselKind.BOAT:
            bond = {"name": "Fuel tank", "size_mm2": BOND_MM2, "colour": "green"}
            change.created(Bond.objects.create(job=job, changed_by=by, **bond))


def _batteries_held(job: Job, by: User) -> None:
    unknown = Device.objects.filter(job=job, kind=PartKind.BATTERY, held_down=None)
    for battery in unknown.select_related("job"):
        tell(battery, by=by, version=battery.version, held_down=True)


def _backbone(job: Job, by: User) -> None:
    """Somebody looked where its shield is grounded; order and lengths follow the hull plan."""
    is_there = Device.objects.filter(job=job, kind=PartKind.DATA_CABLE).exists()
    if is_there and not DataBackbone.objects.filter(job=job).exists():
        lay_out(job, by=by, version=None, values={"shield_grounds": 1}, tees=())


def _strings(job: Job, by: User) -> None:
    """On the launch's roof every second panel hangs on the lead of the one before it."""
    if job.vessel.name != STRUNG_VESSEL:
        return
    panels = Device.objects.filter(job=job, kind=PartKind.SOLAR_PANEL).order_by("label")
    untold = panels.filter(in_series_with=None, strung=None, circuits_from=None)
    free = list(untold.select_related("job", "line"))
    for first, second in zip(free[::2], free[1::2], strict=False):
        if first.line.part_id == second.line.part_id:
            tell(second, by=by, version=second.version, in_series_with=first)


def _inverters(job: Job, by: User) -> None:
    inverters = Device.objects.filter(job=job, kind=PartKind.INVERTER).select_related("job")
    for inverter in inverters:
        if DutyOverride.objects.filter(device=inverter).exists():
            continue
        duties: dict[str, Decimal | None] = dict.fromkeys(OperatingState.values, Decimal(0))
        duties.update({state.value: duty for state, duty in INVERTER_DUTY.items()})
        set_duties(inverter, duties, by)
