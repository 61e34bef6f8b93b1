"""ISO 10133: continuous current of conductors in small craft, from memory.

No licensed copy has been read. The standard was withdrawn and replaced by
ISO 13297:2020 (with Amendment 1:2022), whose values may differ. Least certain are the
strand counts from 35 mm² and everything from 95 mm². Wherever this table decides, the
result says so and is compared with the next smaller gauge of 33 CFR 183.425 Table 5.
"""

from electrical.core.errors import OutOfTable
from electrical.core.status import Clause, SourceStatus
from electrical.core.tables.columns import next_lower_column

CLAUSE = Clause(source="ISO 10133:2012", clause="Table A.2", status=SourceStatus.MEMORY)
ENGINE_CLAUSE = Clause(
    source="ISO 10133:2012", clause="Table A.2, engine spaces", status=SourceStatus.MEMORY
)

#: Air the table and the engine-space factors are for [°C], from memory.
AMBIENT_C = 30.0
ENGINE_SPACE_C = 60.0

#: Insulation rating at which each column starts [°C]; the third serves 85 to 90.
COLUMNS_C = (60, 70, 85, 105, 125, 200)

#: Amperes by cross-section [mm²], in the order of `COLUMNS_C`.
TABLE: dict[float, tuple[int, ...]] = {
    0.75: (6, 10, 12, 16, 20, 25),
    1: (8, 14, 18, 20, 25, 35),
    1.5: (12, 18, 21, 25, 30, 40),
    2.5: (17, 25, 30, 35, 40, 45),
    4: (22, 35, 40, 45, 50, 55),
    6: (29, 45, 50, 60, 70, 75),
    10: (40, 65, 70, 90, 100, 120),
    16: (54, 90, 100, 130, 150, 170),
    25: (71, 120, 140, 170, 185, 200),
    35: (87, 160, 185, 210, 225, 240),
    50: (105, 210, 230, 270, 300, 325),
    70: (135, 265, 285, 330, 360, 375),
    95: (165, 310, 330, 390, 410, 430),
    120: (190, 360, 400, 450, 480, 520),
    150: (220, 380, 430, 475, 520, 560),
}

#: Engine-space factor by column; None = not permitted there.
ENGINE_SPACE: dict[int, float | None] = {
    60: None,
    70: 0.75,
    85: 0.82,
    105: 0.86,
    125: 0.89,
    200: 1.0,
}


def column_for(insulation_c: int) -> int:
    """Return the column for an insulation temperature [°C]: the next lower one.

    Parameters
    ----------
    insulation_c : int
        Insulation rating [°C], 60 or more.

    Returns
    -------
    int
        Column [°C]; 85 stands for the 85 to 90 column.

    Raises
    ------
    OutOfTable
        If the rating is below the first column.
    """
    return next_lower_column(COLUMNS_C, insulation_c=insulation_c, clause=CLAUSE)


def continuous_a(*, mm2: float, insulation_c: int) -> int:
    """Return the continuous current at 30 °C [A].

    Parameters
    ----------
    mm2 : float
        Nominal cross-section [mm²].
    insulation_c : int
        Insulation rating [°C]; the next lower column counts.

    Returns
    -------
    int
        Current [A], from memory.

    Raises
    ------
    OutOfTable
        If size or insulation is not in the table.

    References
    ----------
    .. [1] ISO 10133:2012, Table A.2 (from memory).
    """
    column = column_for(insulation_c)
    if mm2 not in TABLE:
        raise OutOfTable(
            table=str(CLAUSE),
            asked=f"{mm2:g} mm²",
            holds=", ".join(f"{size:g}" for size in TABLE) + " mm²",
        )
    return TABLE[mm2][COLUMNS_C.index(column)]


def engine_space_factor(insulation_c: int) -> float | None:
    """Return the engine-space factor, None where the insulation is not permitted.

    Parameters
    ----------
    insulation_c : int
        Insulation rating [°C]; the next lower column counts.

    Returns
    -------
    float or None
        Factor, from memory.

    References
    ----------
    .. [1] ISO 10133:2012, Table A.2 (from memory).
    """
    return ENGINE_SPACE[column_for(insulation_c)]
