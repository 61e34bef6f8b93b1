"""Electrical parts, a small wired vessel, and lines that put parts into it."""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from catalogue.models import (
    BatteryData,
    BoardData,
    BusbarData,
    CableData,
    ChargingSourceData,
    DataCableData,
    DataDeviceData,
    LoadData,
    OutletData,
    Part,
    ProtectiveDeviceData,
    SwitchData,
)
from catalogue.models.electrical_data import TerminalData
from electrical.day_plans import add_profile
from electrical.models import UseProfile
from fitout.jobs.models import Job, Line
from fitout.jobs.sheet.adding import Details, add_part
from fitout.kit.models import User
from tests.factories.jobs import make_job, make_part, zone_of

CABLES_MM2 = ("1", "1.5", "2.5", "4", "6", "10", "16", "25", "35", "50", "70", "95")
BLADES_A = ("1", "2", "3", "5", "7.5", "10", "15", "20", "25", "30")
CLASS_T_A = ("110", "125", "150", "175", "200")
ENOUGH_A = 20_000


def make_load(
    name: str = "Cabin light",
    *,
    current_a: str = "1.0",
    function: str = "light",
    nature: str = "constant_power",
    duty: str = "0.5",
    **data: Any,
) -> Part:
    part = make_part(description=name, kind="load", category="lighting")
    duties = {f"duty_{state}": Decimal(duty) for state in ("under_way_day", "at_anchor")}
    LoadData.objects.create(
        part=part,
        nominal_v=data.pop("nominal_v", Decimal("12")),
        current_a=Decimal(current_a),
        nature=nature,
        function=function,
        **{**duties, **data},
    )
    return part


def make_battery(
    name: str = "House battery", *, use: str = "house", capacity_ah: str = "100", **data: Any
) -> Part:
    part = make_part(description=name, kind="battery", category="power")
    BatteryData.objects.create(
        part=part,
        chemistry=data.pop("chemistry", "agm"),
        use=use,
        nominal_v=data.pop("nominal_v", Decimal("12")),
        capacity_ah=Decimal(capacity_ah),
        internal_resistance_mohm=Decimal("5"),
        short_circuit_a=Decimal("2400"),
        **data,
    )
    return part


def make_board(name: str = "Switch board", *, ways: int = 12, protection: str = "blade") -> Part:
    part = make_part(description=name, kind="board", category="distribution")
    BoardData.objects.create(
        part=part,
        rated_a=Decimal("150"),
        ways=ways,
        way_max_a=Decimal("30"),
        nominal_v=Decimal("12"),
        protection=protection,
    )
    return part


def make_busbar(name: str = "Busbar") -> Part:
    part = make_part(description=name, kind="busbar", category="distribution")
    BusbarData.objects.create(part=part, rated_a=Decimal("400"), studs=6)
    return part


def make_isolator(name: str = "Battery isolator") -> Part:
    part = make_part(description=name, kind="switch", category="distribution")
    SwitchData.objects.create(
        part=part,
        rated_v=Decimal("32"),
        continuous_a=Decimal("275"),
        cranking_a=Decimal("900"),
        is_isolator=True,
    )
    return part


def make_outlet(name: str = "Outlet") -> Part:
    part = make_part(description=name, kind="outlet", category="outlets")
    OutletData.objects.create(
        part=part,
        nominal_v=Decimal("12"),
        rated_a=Decimal("15"),
        typical_a=Decimal("3"),
        duty_at_anchor=Decimal("0.2"),
    )
    return part


def make_charger(name: str = "DC-DC charger", *, source: str = "dcdc", **data: Any) -> Part:
    part = make_part(description=name, kind="charging_source", category="charging")
    values: dict[str, Any] = {
        "input_v": Decimal("12"),
        "nominal_v": Decimal("12"),
        "output_a": Decimal("30"),
        "efficiency_pct": Decimal("90"),
        "output_limited": True,
    }
    ChargingSourceData.objects.create(part=part, source=source, **(values | data))
    return part


def make_alternator(name: str = "Alternator", *, output_a: str, **data: Any) -> Part:
    values: dict[str, Any] = {
        "input_v": None,
        "efficiency_pct": None,
        "output_a": Decimal(output_a),
        "output_limited": False,
    }
    return make_charger(name, source="alternator", **(values | data))


def make_backbone_feed() -> Part:
    part = make_part(description="Power feed with tee", kind="data_cable", category="navigation")
    DataCableData.objects.create(
        part=part, resistance_ohm_per_100m=Decimal("5.7"), is_tee=True, is_power_feed=True
    )
    return part


def make_data_piece(name: str, *, length_m: str = "", **data: Any) -> Part:
    part = make_part(description=name, kind="data_cable", category="navigation")
    DataCableData.objects.create(
        part=part,
        resistance_ohm_per_100m=Decimal("5.7"),
        length_m=Decimal(length_m) if length_m else None,
        **data,
    )
    return part


def make_data_device(name: str = "Wind sensor", *, load_units: int | None = 2) -> Part:
    part = make_part(description=name, kind="data_device", category="navigation")
    DataDeviceData.objects.create(part=part, load_units=load_units, bus_powered=True)
    return part


def make_cable(size_mm2: str, *, colour: str = "red", cost: str = "") -> Part:
    name = f"Cable, {size_mm2} mm², {colour}"
    price = cost or str(Decimal(size_mm2) * Decimal("0.3"))
    part = make_part(description=name, kind="cable", category="cable", unit="m", cost=price)
    CableData.objects.create(
        part=part, size_mm2=Decimal(size_mm2), insulation_c=90, colour=colour, tinned=True
    )
    return part


def make_protection(device: str, rating_a: str, *, breaks_a: int = ENOUGH_A) -> Part:
    name = f"{device} {rating_a} A"
    part = make_part(description=name, kind="protective_device", category="protection", cost="2.00")
    ProtectiveDeviceData.objects.create(
        part=part,
        device=device,
        rating_a=Decimal(rating_a),
        rated_v=Decimal("32"),
        breaking_capacity_a=Decimal(breaks_a),
    )
    return part


def make_terminal(form: str, low_mm2: str, high_mm2: str, *, stud_mm: str | None = None) -> Part:
    part = make_part(description=f"{form} {high_mm2}", kind="terminal", category="terminals")
    TerminalData.objects.create(
        part=part,
        form=form,
        min_mm2=Decimal(low_mm2),
        max_mm2=Decimal(high_mm2),
        stud_mm=Decimal(stud_mm) if stud_mm else None,
    )
    return part


def stock_catalogue() -> None:
    """Cable in two colours, blade fuses and class T fuses that break any fault here."""
    for size in CABLES_MM2:
        make_cable(size)
        make_cable(size, colour="yellow")
    for rating in BLADES_A:
        make_protection("blade", rating)
    for rating in CLASS_T_A:
        make_protection("class_t", rating)


def put(job: Job, part: Part, zone: str, *, by: User, quantity: int = 1) -> Line:
    details = Details(quantity=Decimal(quantity))
    return add_part(job, zone_of(job, zone), part, by=by, details=details)


def set_day(job: Job, hours: Mapping[str, Decimal], by: User) -> UseProfile:
    """One use profile all year, state after state in the order given."""
    UseProfile.objects.filter(job=job).delete()
    states = [state for state, count in hours.items() for _ in range(int(count))]
    return add_profile(job, by=by, name="Day", states=states)


def make_small_vessel(by: User, *, loads: Iterable[tuple[Part, str]] = ()) -> Job:
    """A workboat with one house battery, an isolator, a busbar, a board and some loads."""
    stock_catalogue()
    job = make_job(by)
    for part, zone in (
        (make_battery(), "BL"),
        (make_isolator(), "BL"),
        (make_busbar(), "BL"),
        (make_board(), "HM"),
        *loads,
    ):
        put(job, part, zone, by=by)
    return job


def usual_loads() -> list[tuple[Part, str]]:
    return [
        (make_load("Cabin light"), "HM"),
        (make_load("Chart light", current_a="0.3"), "HM"),
        (make_load("Radar", current_a="2", function="navigation"), "RF"),
        (
            make_load(
                "Wash pump",
                current_a="8",
                function="pump",
                nature="motor",
                locked_rotor_a=Decimal("40"),
            ),
            "DS",
        ),
        (make_outlet(), "HM"),
    ]
