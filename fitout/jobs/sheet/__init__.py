"""The build sheet: the only way to read and to change a job's lines."""

from .adding import (
    Details,
    add_customer_supplied,
    add_kit,
    add_labour,
    add_part,
    add_provisional,
    add_subcontract,
)
from .copying import Copied, copy_from, zones_alike
from .costs import CostChange, cost_changes, refresh_costs
from .editing import below, code_of, edit, move_by, move_to_zone, remove
from .errors import CannotCopy, CannotRemove, SheetClosed, SheetError
from .reading import sheet_lines
from .values import SheetLine, Sums

__all__ = [
    "CannotCopy",
    "CannotRemove",
    "Copied",
    "CostChange",
    "Details",
    "SheetClosed",
    "SheetError",
    "SheetLine",
    "Sums",
    "add_customer_supplied",
    "add_kit",
    "add_labour",
    "add_part",
    "add_provisional",
    "add_subcontract",
    "below",
    "code_of",
    "copy_from",
    "cost_changes",
    "edit",
    "move_by",
    "move_to_zone",
    "refresh_costs",
    "remove",
    "sheet_lines",
    "zones_alike",
]
