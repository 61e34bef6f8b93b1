"""Test sheets of systems: which a vessel gets, by what its build sheet says it carries."""

from __future__ import annotations

from catalogue.models import Category, PartKind
from catalogue.models.electrical_data import LoadData
from catalogue.models.electrical_data.loads import LoadFunction, LoadNature
from fitout.handover.expected import PRACTICE, Expected
from fitout.jobs.models import Job
from fitout.jobs.sheet import sheet_lines

COMPRESSOR_OR_BURNER = "compressor or burner"
BACKBONE = (PartKind.DATA_DEVICE, PartKind.DATA_CABLE)

#: Checks of a system, by the category of part that calls for them. Common practice, no source.
SYSTEMS: dict[str, tuple[str, tuple[Expected, ...]]] = {
    Category.POWER: (
        "Batteries and isolation",
        (
            Expected(what="Batteries fastened, terminals covered"),
            Expected(what="Isolators off: everything dead but the always-live circuits"),
            Expected(
                what="Current drawn with the isolators off",
                unit="A",
                low=0.0,
                high=0.5,
                source=PRACTICE,
            ),
            Expected(what="Electronics disconnected before the insulation test"),
            Expected(
                what="Insulation of positive to hull or chassis, isolators on, loads disconnected",
                unit="kΩ",
                low=10.0,
                source=PRACTICE,
            ),
        ),
    ),
    Category.CHARGING: (
        "Charging",
        (
            Expected(
                what="Engine running: charge current flows into the house battery",
                asks=(PartKind.CHARGING_SOURCE,),
            ),
            Expected(what="Charge settings as the battery maker states"),
        ),
    ),
    Category.SOLAR: (
        "Solar",
        (Expected(what="Panels in sun: the regulator shows charge", asks=(PartKind.SOLAR_PANEL,)),),
    ),
    Category.NAV_LIGHTS: (
        "Navigation lights",
        (
            Expected(
                what="Each light shows, colours and arcs as in COLREG Rule 21 and Annex I",
                asks=(LoadFunction.NAV_LIGHT,),
            ),
            Expected(
                what="Lights seen in pairs as in the rules: under way and at anchor",
                asks=(LoadFunction.NAV_LIGHT,),
            ),
        ),
    ),
    Category.PUMPS: (
        "Bilge and pumps",
        (
            Expected(
                what="Water system filled and under pressure: no leak, the pump stops",
                asks=(LoadFunction.PUMP,),
            ),
            Expected(
                what="Each bilge pump starts by its float with the isolators off",
                asks=(LoadFunction.BILGE_PUMP,),
            ),
            Expected(what="Each bilge pump starts by its switch", asks=(LoadFunction.BILGE_PUMP,)),
            Expected(what="High-water alarm sounds", asks=(LoadFunction.BILGE_PUMP,)),
            Expected(
                what="Discharge above the waterline, no siphon back",
                asks=(LoadFunction.BILGE_PUMP,),
            ),
        ),
    ),
    Category.NAVIGATION: (
        "Data backbone and electronics",
        (
            Expected(
                what="Data backbone unpowered, between the data lines",
                unit="Ω",
                low=54.0,
                high=66.0,
                asks=BACKBONE,
                source="two 120 Ω terminators side by side are 60 Ω, ±10 %",
            ),
            Expected(
                what="Data backbone powered, supply at the far end",
                unit="V",
                low=9.0,
                high=16.0,
                asks=BACKBONE,
                source="supply window of the data backbone, second-hand",
            ),
            Expected(what="Every device seen on the backbone, data plausible", asks=BACKBONE),
        ),
    ),
    Category.RADIO: ("Radio", (Expected(what="Radio check made, own identity programmed"),)),
    Category.STEERING: (
        "Steering",
        (Expected(what="Hard over to hard over, free and without leak"),),
    ),
    Category.ENGINES: (
        "Engines and fuel",
        (
            Expected(what="Fuel system tight under pressure test; no smell of petrol"),
            Expected(
                what="Blower run and vapour checked before the first start",
                asks=(LoadFunction.BLOWER,),
            ),
            Expected(what="Kill cord stops the engine"),
            Expected(what="Start, charge and gauges on each engine"),
        ),
    ),
    Category.REFRIGERATION: (
        "Refrigeration and heating",
        (
            Expected(
                what="Runs an hour; ventilation of the compressor or heater free",
                asks=(COMPRESSOR_OR_BURNER,),
            ),
            Expected(
                what="Carbon monoxide alarm fitted and tested where anything burns fuel",
                asks=(COMPRESSOR_OR_BURNER,),
            ),
        ),
    ),
}


BY_RESISTANCE = (LoadNature.RESISTIVE, LoadNature.MIX)


def carried_by(job: Job) -> frozenset[str]:
    """Categories and kinds of part that are fitted, and what its loads are for.

    Heating by resistance, such as a seat pad with its control, has neither compressor nor burner.
    """
    lines = [line for line in sheet_lines(job) if line.counts and line.part_id is not None]
    carried = {word for line in lines for word in (line.part_category, line.part_kind)}
    loads = LoadData.objects.filter(part__in={line.part_id for line in lines})
    for function, nature in loads.values_list("function", "nature"):
        carried.add(function)
        if function == LoadFunction.HEATING and nature not in BY_RESISTANCE:
            carried.add(COMPRESSOR_OR_BURNER)
    return frozenset(carried)


def systems_of(carried: frozenset[str]) -> list[tuple[int, str, tuple[Expected, ...]]]:
    """Place, title and rows of each sheet the vessel needs; a sheet without a row is none."""
    found = []
    for place, (category, (title, rows)) in enumerate(SYSTEMS.items(), 2):
        fit = tuple(row for row in rows if not row.asks or carried.intersection(row.asks))
        if category in carried and fit:
            found.append((place, title, fit))
    return found
