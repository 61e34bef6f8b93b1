"""American wire gauge: ASTM B258 definition, and minimum circular mils.

The diameter follows from the definition d = 0.005 in × 92^((36 − n) / 39) with
n = 0, −1, −2, −3 for 1/0 … 4/0; area and resistance are computed from it. The
minimum circular mils of boat cable are from memory; with K = 10.75 they reproduce
102 of 116 cells of a printed 3 % table for 12 V, where nominal mils reproduce 90.
"""

from functools import cache
from math import pi

from electrical.core.errors import OutOfTable
from electrical.core.status import Clause, SourceStatus
from electrical.core.tables.constants import RHO_CU_20_OHM_MM2_PER_M

CLAUSE = Clause(
    source="ASTM B258", clause="definition of the gauge", status=SourceStatus.SECOND_HAND
)
STRAND_CLAUSE = Clause(source="ASTM B8", clause="2 % lay allowance", status=SourceStatus.MEMORY)
MIN_MILS_CLAUSE = Clause(
    source="ABYC E-11", clause="minimum circular mils", status=SourceStatus.MEMORY
)

GAUGES = (
    "22",
    "20",
    "18",
    "16",
    "14",
    "12",
    "10",
    "8",
    "6",
    "4",
    "3",
    "2",
    "1",
    "1/0",
    "2/0",
    "3/0",
    "4/0",
)

#: Minimum circular mils of boat cable. 3 AWG is not in the table.
MIN_CIRCULAR_MILS: dict[str, int] = {
    "18": 1537,
    "16": 2336,
    "14": 3702,
    "12": 5833,
    "10": 9343,
    "8": 14810,
    "6": 25910,
    "4": 37360,
    "2": 62450,
    "1": 77790,
    "1/0": 98980,
    "2/0": 125100,
    "3/0": 158600,
    "4/0": 205500,
}

#: Longer path of the strands in a stranded conductor.
STRAND_LAY_FACTOR = 1.02
_INCH_MM = 25.4


def gauge_number(gauge: str) -> int:
    """Return n of the definition: 10 for "10", −1 for "2/0".

    Parameters
    ----------
    gauge : str
        Gauge as written, "22" to "4/0".

    Returns
    -------
    int
        Number in the definition.

    Raises
    ------
    OutOfTable
        If the gauge is not one of `GAUGES`.
    """
    if gauge not in GAUGES:
        raise OutOfTable(table="Wire gauge", asked=f"{gauge} AWG", holds="22 to 4/0")
    return 1 - int(gauge[:-2]) if gauge.endswith("/0") else int(gauge)


def diameter_mm(gauge: str) -> float:
    """Return the diameter of the solid conductor [mm].

    Parameters
    ----------
    gauge : str
        Gauge as written.

    Returns
    -------
    float
        Diameter [mm].

    References
    ----------
    .. [1] ASTM B258, definition.
    """
    return 0.005 * float(92.0 ** ((36 - gauge_number(gauge)) / 39)) * _INCH_MM


@cache
def area_mm2(gauge: str) -> float:
    """Return the nominal copper area [mm²].

    Parameters
    ----------
    gauge : str
        Gauge as written.

    Returns
    -------
    float
        Area [mm²].

    References
    ----------
    .. [1] ASTM B258, definition.
    """
    return pi / 4 * diameter_mm(gauge) ** 2


def circular_mils(gauge: str) -> float:
    """Return the nominal area in circular mils.

    Parameters
    ----------
    gauge : str
        Gauge as written.

    Returns
    -------
    float
        Square of the diameter in thousandths of an inch [cmil].

    References
    ----------
    .. [1] ASTM B258, definition.
    """
    return (diameter_mm(gauge) / _INCH_MM * 1000) ** 2


def min_circular_mils(gauge: str) -> int:
    """Return the least copper area boat cable of this gauge may have [cmil].

    Parameters
    ----------
    gauge : str
        Gauge as written, "18" to "4/0" without "3".

    Returns
    -------
    int
        Minimum [cmil], from memory.

    Raises
    ------
    OutOfTable
        If the gauge is not in the table.
    """
    if gauge not in MIN_CIRCULAR_MILS:
        raise OutOfTable(
            table="Minimum circular mils",
            asked=f"{gauge} AWG",
            holds=", ".join(MIN_CIRCULAR_MILS),
        )
    return MIN_CIRCULAR_MILS[gauge]


def max_r20_ohm_per_km(gauge: str, *, stranded: bool = True) -> float:
    """Return the resistance at 20 °C of the least conductor sold as this gauge [Ω/km].

    Parameters
    ----------
    gauge : str
        Gauge as written.
    stranded : bool
        Adds the lay allowance.

    Returns
    -------
    float
        Resistance [Ω/km], from the minimum circular mils where the table has
        them (smaller copper, higher resistance), else from the nominal area.

    Notes
    -----
    R = ρ / A with ρ = 1/58 Ω·mm²/m, A the minimum area, × 1.02 when stranded.
    """
    area = area_mm2(gauge)
    if gauge in MIN_CIRCULAR_MILS:
        area *= min(1.0, MIN_CIRCULAR_MILS[gauge] / circular_mils(gauge))
    lay = STRAND_LAY_FACTOR if stranded else 1.0
    return RHO_CU_20_OHM_MM2_PER_M / area * 1000 * lay
