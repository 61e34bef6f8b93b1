"""Typical breaking capacities of protective devices by generic kind.

Only a starting point for a device whose own marking is not known: the marked value at
the system voltage always wins, and a result that rests on this table says so.
"""

from dataclasses import dataclass

from electrical.core.parts import DeviceType
from electrical.core.status import Clause, SourceStatus


@dataclass(frozen=True, kw_only=True)
class TypicalBreaking:
    """Typical breaking capacity of a kind of device.

    Parameters
    ----------
    rated_v : float
        Highest d.c. voltage it holds for [V].
    breaking_a : float
        Least value printed for the kind [A].
    clause : Clause
        Source and status.
    """

    rated_v: float
    breaking_a: float
    clause: Clause


_BLADE = Clause(source="ISO 8820-3:2015", clause="scope", status=SourceStatus.SECOND_HAND)
_PRACTICE = Clause(source="makers' typical figures", clause="", status=SourceStatus.MEMORY)

#: Entries by kind, lowest rated voltage first.
TYPICAL: dict[DeviceType, tuple[TypicalBreaking, ...]] = {
    DeviceType.BLADE: (TypicalBreaking(rated_v=32, breaking_a=1000, clause=_BLADE),),
    DeviceType.MINI_BLADE: (TypicalBreaking(rated_v=32, breaking_a=1000, clause=_BLADE),),
    DeviceType.MAXI_BLADE: (TypicalBreaking(rated_v=32, breaking_a=1000, clause=_BLADE),),
    DeviceType.GLASS: (TypicalBreaking(rated_v=32, breaking_a=200, clause=_PRACTICE),),
    DeviceType.STRIP_M8: (TypicalBreaking(rated_v=32, breaking_a=2000, clause=_PRACTICE),),
    DeviceType.STRIP_M5: (TypicalBreaking(rated_v=32, breaking_a=2000, clause=_PRACTICE),),
    DeviceType.LIMITER: (TypicalBreaking(rated_v=32, breaking_a=6000, clause=_PRACTICE),),
    DeviceType.CUBE: (
        TypicalBreaking(rated_v=14, breaking_a=10000, clause=_PRACTICE),
        TypicalBreaking(rated_v=32, breaking_a=5000, clause=_PRACTICE),
        TypicalBreaking(rated_v=58, breaking_a=2000, clause=_PRACTICE),
    ),
    DeviceType.CLASS_T: (TypicalBreaking(rated_v=125, breaking_a=20000, clause=_PRACTICE),),
    DeviceType.SURFACE_BREAKER: (TypicalBreaking(rated_v=48, breaking_a=1500, clause=_PRACTICE),),
    DeviceType.PANEL_BREAKER: (TypicalBreaking(rated_v=65, breaking_a=3000, clause=_PRACTICE),),
}


def typical_breaking(device: DeviceType, *, system_v: float) -> TypicalBreaking | None:
    """Return the typical breaking capacity at a system voltage, None when there is none.

    Parameters
    ----------
    device : DeviceType
        Generic kind.
    system_v : float
        Nominal system voltage [V].

    Returns
    -------
    TypicalBreaking or None
        The entry with the lowest rated voltage that still covers `system_v`.
    """
    for entry in TYPICAL.get(device, ()):
        if system_v <= entry.rated_v:
            return entry
    return None
