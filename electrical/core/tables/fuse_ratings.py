"""Preferred ratings of protective devices by generic kind, from memory.

Sources named per kind: ISO 8820-3 (blade), ISO 8820-5 (bolt-in strip), IEC 60127
(cartridge); breakers and class T by common makers' series.
"""

from electrical.core.errors import OutOfTable
from electrical.core.parts import DeviceType
from electrical.core.status import Clause, SourceStatus

CLAUSE = Clause(
    source="ISO 8820-3, ISO 8820-5, IEC 60127",
    clause="preferred ratings",
    status=SourceStatus.MEMORY,
)

#: Ratings [A], ascending.
RATINGS_A: dict[DeviceType, tuple[float, ...]] = {
    DeviceType.BLADE: (
        1,
        2,
        3,
        4,
        5,
        7.5,
        10,
        15,
        20,
        25,
        30,
        35,
        40,
    ),
    DeviceType.MINI_BLADE: (
        2,
        3,
        4,
        5,
        7.5,
        10,
        15,
        20,
        25,
        30,
    ),
    DeviceType.MAXI_BLADE: (
        20,
        25,
        30,
        35,
        40,
        50,
        60,
        70,
        80,
        100,
    ),
    DeviceType.STRIP_M5: (
        30,
        40,
        50,
        60,
        70,
        80,
        100,
        125,
        150,
        175,
        200,
    ),
    DeviceType.STRIP_M8: (
        40,
        60,
        80,
        100,
        125,
        150,
        175,
        200,
        225,
        250,
        300,
        350,
        400,
        450,
        500,
    ),
    DeviceType.CLASS_T: (
        110,
        125,
        150,
        175,
        200,
        225,
        250,
        300,
        350,
        400,
    ),
    DeviceType.GLASS: (
        0.5,
        0.63,
        0.8,
        1,
        1.25,
        1.6,
        2,
        2.5,
        3.15,
        4,
        5,
        6.3,
        8,
        10,
    ),
    DeviceType.PANEL_BREAKER: (
        5,
        10,
        15,
        20,
        25,
        30,
        40,
        50,
    ),
    DeviceType.SURFACE_BREAKER: (
        25,
        30,
        40,
        50,
        60,
        70,
        80,
        100,
        120,
        135,
        150,
        200,
    ),
}


def ratings_a(device: DeviceType) -> tuple[float, ...]:
    """Return the preferred ratings of a kind of device [A], ascending.

    Parameters
    ----------
    device : DeviceType
        Generic kind.

    Returns
    -------
    tuple of float
        Ratings [A].

    Raises
    ------
    OutOfTable
        If no series is known for the kind.
    """
    if device not in RATINGS_A:
        raise OutOfTable(table="Preferred ratings", asked=device.value, holds=", ".join(RATINGS_A))
    return RATINGS_A[device]
