"""IEC 60228:2004, copper conductors: maximum d.c. resistance at 20 °C.

Values as printed [Ω/km], by nominal cross-section [mm²]: (plain, metal-coated).
Every cell was seen in at least one reprint of the standard; cells of classes 2 and 5
from 1 mm² up in two that agree. A 2023 edition exists and is to be checked.
"""

from electrical.core.errors import OutOfTable
from electrical.core.parts import CableConstruction
from electrical.core.status import Clause, SourceStatus

#: Class 1, solid.
CLASS_1: dict[float, tuple[float, float | None]] = {
    0.5: (36.0, 36.7),
    0.75: (24.5, 24.8),
    1: (18.1, 18.2),
    1.5: (12.1, 12.2),
    2.5: (7.41, 7.56),
    4: (4.61, 4.7),
    6: (3.08, 3.11),
    10: (1.83, 1.84),
    16: (1.15, 1.16),
    25: (0.727, None),
    35: (0.524, None),
    50: (0.387, None),
    70: (0.268, None),
    95: (0.193, None),
    120: (0.153, None),
    150: (0.124, None),
    185: (0.101, None),
    240: (0.0775, None),
}
#: Class 2, stranded.
CLASS_2: dict[float, tuple[float, float | None]] = {
    0.5: (36.0, 36.7),
    0.75: (24.5, 24.8),
    1: (18.1, 18.2),
    1.5: (12.1, 12.2),
    2.5: (7.41, 7.56),
    4: (4.61, 4.7),
    6: (3.08, 3.11),
    10: (1.83, 1.84),
    16: (1.15, 1.16),
    25: (0.727, 0.734),
    35: (0.524, 0.529),
    50: (0.387, 0.391),
    70: (0.268, 0.27),
    95: (0.193, 0.195),
    120: (0.153, 0.154),
    150: (0.124, 0.126),
    185: (0.0991, 0.1),
    240: (0.0754, 0.0762),
}
#: Class 5, flexible.
CLASS_5: dict[float, tuple[float, float | None]] = {
    0.5: (39.0, 40.1),
    0.75: (26.0, 26.7),
    1: (19.5, 20.0),
    1.5: (13.3, 13.7),
    2.5: (7.98, 8.21),
    4: (4.95, 5.09),
    6: (3.3, 3.39),
    10: (1.91, 1.95),
    16: (1.21, 1.24),
    25: (0.78, 0.795),
    35: (0.554, 0.565),
    50: (0.386, 0.393),
    70: (0.272, 0.277),
    95: (0.206, 0.21),
    120: (0.161, 0.164),
    150: (0.129, 0.132),
    185: (0.106, 0.108),
    240: (0.0801, 0.0817),
}

CLAUSES = {
    CableConstruction.SOLID: Clause(
        source="IEC 60228:2004", clause="Table 1 (class 1)", status=SourceStatus.SECOND_HAND
    ),
    CableConstruction.STRANDED: Clause(
        source="IEC 60228:2004", clause="Table 2 (class 2)", status=SourceStatus.SECOND_HAND
    ),
    CableConstruction.FLEXIBLE: Clause(
        source="IEC 60228:2004", clause="Table 3 (class 5)", status=SourceStatus.SECOND_HAND
    ),
}
_TABLES = {
    CableConstruction.SOLID: CLASS_1,
    CableConstruction.STRANDED: CLASS_2,
    CableConstruction.FLEXIBLE: CLASS_5,
}


def max_r20_ohm_per_km(*, mm2: float, construction: CableConstruction, tinned: bool) -> float:
    """Return the maximum resistance of one conductor at 20 °C [Ω/km].

    Parameters
    ----------
    mm2 : float
        Nominal cross-section [mm²], one of the printed sizes.
    construction : CableConstruction
        Conductor class.
    tinned : bool
        Metal-coated strands.

    Returns
    -------
    float
        Printed maximum [Ω/km].

    Raises
    ------
    OutOfTable
        If the size, or its metal-coated value, is not printed.

    References
    ----------
    .. [1] IEC 60228:2004, Tables 1, 2 and 3.
    """
    table = _TABLES[construction]
    plain, coated = table.get(mm2, (None, None))
    value = coated if tinned else plain
    if value is None:
        raise OutOfTable(
            table=str(CLAUSES[construction]),
            asked=f"{mm2:g} mm², {'metal-coated' if tinned else 'plain'}",
            holds=", ".join(f"{size:g}" for size in table) + " mm²",
        )
    return value
