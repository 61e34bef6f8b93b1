"""The data backbone of a job as the core's backbone."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import TYPE_CHECKING

from catalogue.models import DataCableData, Part
from electrical.core.backbone import Backbone, DataCable, DataDevice, DataSupply, Segment
from electrical.core.tables.data_backbone import Grade

if TYPE_CHECKING:
    from electrical.data_backbone.layout import Layout

LABEL = "Data backbone"


def backbone_of(layout: Layout, supply_v: Mapping[int, float | None]) -> Backbone:
    """`supply_v`: voltage at the end of each feed's lead, by device, None when
    not known; every length known."""
    cable, drop = data_cable(layout.cable), data_cable(layout.drop_cable)
    tees = layout.tees
    ends = zip((tees[0].label, tees[-1].label), layout.terminators, strict=True)
    return Backbone(
        label=LABEL,
        segments=tuple(
            Segment(
                segment_id=f"{one.label} to {other.label}",
                from_point=one.label,
                to_point=other.label,
                length_m=other.before_m or 0.0,
                cable=cable,
            )
            for one, other in pairwise(tees)
        ),
        devices=tuple(
            DataDevice(
                device_id=str(tee.device.pk),
                label=f"{tee.device.label} {tee.device.short_name}",
                point=tee.label,
                drop_length_m=tee.drop_m,
                cable=drop,
                load_units=tee.load_units,
            )
            for tee in layout.devices
        ),
        supplies=tuple(
            DataSupply(
                supply_id=tee.device.label, point=tee.label, voltage_v=supply_v[tee.device.pk]
            )
            for tee in layout.feeds
        ),
        terminator_points=tuple(point for point, is_there in ends if is_there),
        shield_grounds=layout.shield_grounds,
    )


def data_cable(part: Part | None) -> DataCable:
    """Light cable of typical resistance where none is chosen: the worst there is."""
    data = getattr(part, "datacabledata", None)
    if not isinstance(data, DataCableData):
        return DataCable(grade=Grade.LIGHT)
    return DataCable(grade=Grade(data.grade), ohm_per_100m=float(data.resistance_ohm_per_100m))
