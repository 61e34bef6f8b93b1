"""Backbones to test with."""

from electrical.core.backbone import Backbone, DataCable, DataDevice, DataSupply, Segment
from electrical.core.tables.data_backbone import Grade

LIGHT = DataCable(grade=Grade.LIGHT)
MID = DataCable(grade=Grade.MID)


def segment(one: str, other: str, length_m: float, cable: DataCable = LIGHT) -> Segment:
    return Segment(
        segment_id=f"{one}-{other}",
        from_point=one,
        to_point=other,
        length_m=length_m,
        cable=cable,
    )


def device(name: str, point: str, units: int | None = 2, drop_m: float = 0.0) -> DataDevice:
    return DataDevice(
        device_id=name,
        label=name,
        point=point,
        drop_length_m=drop_m,
        cable=LIGHT,
        load_units=units,
    )


def line(*devices: DataDevice, supply_at: str = "A", **more: object) -> Backbone:
    values: dict[str, object] = {
        "label": "Backbone",
        "segments": (segment("A", "B", 10.0), segment("B", "C", 10.0)),
        "devices": devices,
        "supplies": (DataSupply(supply_id="feed", point=supply_at, voltage_v=12.0),),
        "terminator_points": ("A", "C"),
        "shield_grounds": 1,
    }
    return Backbone(**(values | more))  # type: ignore[arg-type]
