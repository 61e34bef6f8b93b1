"""The hull plan: zones, cableways, their lengths and their drawing."""

from . import road_templates as _road  # noqa: F401  adds its templates to the list
