"""What a single-line diagram shows, free of coordinates."""

from dataclasses import dataclass
from enum import StrEnum


class Symbol(StrEnum):
    """Graphic symbols after IEC 60617."""

    LAMP = "lamp"
    MOTOR = "motor"
    HEATER = "heater"
    OUTLET = "outlet"
    ALARM = "alarm"
    APPARATUS = "apparatus"
    CONVERTER = "converter"
    INVERTER = "inverter"
    BATTERY = "battery"
    SOURCE = "source"
    POINT = "point"


@dataclass(frozen=True, kw_only=True)
class Branch:
    """One circuit as drawn: what stands on its line, left to right."""

    circuit_id: int
    tag: str
    name: str
    fuse: str = ""
    end_fuse: str = ""
    switch: str = ""
    wire: str = ""
    wire_word: str = ""
    cable: str = ""
    always_live: bool = False
    symbol: Symbol = Symbol.APPARATUS
    end_label: str = ""
    end_name: str = ""
    load: str = ""
    drop: str = ""
    mark: str = ""
    """Severity of the worst finding, as a class word; empty when there is none."""
    mark_number: str = ""


@dataclass(frozen=True, kw_only=True)
class Bar:
    """A busbar, board, battery post or converter output with the circuits that start there."""

    point_id: int
    label: str
    name: str
    branches: tuple["Branch | Feed", ...] = ()
    is_converter: bool = False
    from_v: str = ""
    to_v: str = ""

    @property
    def title(self) -> str:
        return f"{self.label} {self.name}"


@dataclass(frozen=True, kw_only=True)
class Feed:
    """A circuit that ends at another bar, drawn with everything behind it."""

    branch: Branch
    bar: Bar


@dataclass(frozen=True, kw_only=True)
class Panel:
    """A solar panel in front of its regulator."""

    branch: Branch
    label: str
    name: str


@dataclass(frozen=True, kw_only=True)
class Supply:
    """Something on the left that feeds a bar: battery, charger, alternator, regulator."""

    branch: Branch | None
    """None for a battery that is itself the bar's post."""
    symbol: Symbol
    label: str
    name: str
    detail: str = ""
    panels: tuple[Panel, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Block:
    """One bar that nothing drawn feeds, with its supplies and all that hangs on it."""

    bar: Bar
    supplies: tuple[Supply, ...] = ()
