"""The data backbone, IEC 61162-3: lengths, load units, current and voltage.

A backbone is one line of cable with tees; devices hang on the tees by drops; power
enters at one point and both power conductors carry it.  :func:`measure` computes,
:func:`electrical.core.rules.data_backbone.judge` compares with the limits.
"""

from electrical.core.backbone.measure import (
    BackboneMeasures,
    DeviceMeasures,
    SegmentMeasures,
    formula_drop_v,
    load_units,
    measure,
)
from electrical.core.backbone.model import Backbone, DataCable, DataDevice, DataSupply, Segment

__all__ = [
    "Backbone",
    "BackboneMeasures",
    "DataCable",
    "DataDevice",
    "DataSupply",
    "DeviceMeasures",
    "Segment",
    "SegmentMeasures",
    "formula_drop_v",
    "load_units",
    "measure",
]
