"""Vessels to run a year with; every figure invented."""

from electrical.core.energy.chemistry import Sourced
from electrical.core.energy.day import Battery, Load
from electrical.core.energy.profiles import UseProfile
from electrical.core.energy.solar import Panels, Regulator
from electrical.core.energy.vessel import Array, EnergyDesign
from electrical.core.energy.weather import Climate
from electrical.core.sources import Chemistry
from electrical.core.status import SourceStatus

IRRADIATION = (1.8, 2.7, 4.1, 5.4, 6.6, 7.2, 7.2, 6.3, 4.9, 3.1, 2.0, 1.5)
AMBIENT_C = (9.0, 10.0, 12.0, 13.0, 16.0, 19.0, 20.0, 20.0, 19.0, 16.0, 12.0, 10.0)


def climate(**changes: object) -> Climate:
    values: dict[str, object] = {
        "latitude_deg": 41.0,
        "irradiation_kwh_m2_day": tuple(
            Sourced(value, SourceStatus.MEMORY, "invented port") for value in IRRADIATION
        ),
        "ambient_c": AMBIENT_C,
    }
    return Climate(**(values | changes))  # type: ignore[arg-type]


def fridge(current_a: float | None = 4.0, duty: float = 0.45) -> Load:
    return Load(
        load_id="fridge",
        label="Refrigerator",
        current_a=current_a,
        duty_by_state={"at anchor": duty, "under way": duty},
    )


def array(peak_w: float = 150.0, count: int = 2, **changes: object) -> Array:
    values: dict[str, object] = {"label": "Panels", "peak_w": peak_w, "count": count}
    panels = Panels(**(values | changes))  # type: ignore[arg-type]
    return Array(panels=panels, regulator=Regulator(label="Regulator"))


def days(*states: str, **changes: object) -> UseProfile:
    """One state all day, or one for each hour."""
    hours = states * 24 if len(states) == 1 else states
    values: dict[str, object] = {"name": "Day", "states": hours}
    return UseProfile(**(values | changes))  # type: ignore[arg-type]


def vessel(**changes: object) -> EnergyDesign:
    values: dict[str, object] = {
        "battery": Battery(capacity_ah=300.0, chemistry=Chemistry.AGM),
        "profiles": (days("at anchor"),),
        "loads": (fridge(),),
        "arrays": (array(),),
        "climate": climate(),
    }
    return EnergyDesign(**(values | changes))  # type: ignore[arg-type]
