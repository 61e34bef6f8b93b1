"""33 CFR 183.425 Table 5: allowable amperage of conductors in boats.

Insulated stranded copper, 30 °C, outside engine spaces; body of the table as printed.
Note 1 (engine spaces, 50 °C) and note 2 (bundles, 50 V or more) carry their own
status. There is no 70, 85 or 110 °C column: the next lower column is used, never the
next higher. The regulation excepts cranking motor conductors (183.425(g)).
"""

from electrical.core.errors import OutOfTable
from electrical.core.status import Clause, SourceStatus
from electrical.core.tables.columns import next_lower_column

CLAUSE = Clause(source="33 CFR 183.425", clause="Table 5", status=SourceStatus.READ)
NOTE_2_CLAUSE = Clause(
    source="33 CFR 183.425", clause="Table 5, note 2", status=SourceStatus.SECOND_HAND
)

#: Air the table and note 1 are for [°C].
AMBIENT_C = 30.0
ENGINE_SPACE_C = 50.0

COLUMNS_C = (60, 75, 80, 90, 105, 125, 200)

#: Amperes by gauge, in the order of `COLUMNS_C`.
TABLE_5: dict[str, tuple[int, ...]] = {
    "18": (10, 10, 15, 20, 20, 25, 25),
    "16": (15, 15, 20, 25, 25, 30, 35),
    "14": (20, 20, 25, 30, 35, 40, 45),
    "12": (25, 25, 35, 40, 45, 50, 55),
    "10": (40, 40, 50, 55, 60, 70, 70),
    "8": (55, 65, 70, 70, 80, 90, 100),
    "6": (80, 95, 100, 100, 120, 125, 135),
    "4": (105, 125, 130, 135, 160, 170, 180),
    "3": (120, 145, 150, 155, 180, 195, 210),
    "2": (140, 170, 175, 180, 210, 225, 240),
    "1": (165, 195, 210, 210, 245, 265, 280),
    "1/0": (195, 230, 245, 245, 285, 305, 325),
    "2/0": (225, 265, 285, 285, 330, 355, 370),
    "3/0": (260, 310, 330, 330, 385, 410, 430),
    "4/0": (300, 360, 385, 385, 445, 475, 510),
}

#: Engine-space factor by insulation temperature, with the status of each row.
NOTE_1: dict[int, tuple[float, SourceStatus]] = {
    60: (0.58, SourceStatus.MEMORY),
    75: (0.75, SourceStatus.MEMORY),
    80: (0.78, SourceStatus.MEMORY),
    90: (0.82, SourceStatus.MEMORY),
    105: (0.85, SourceStatus.SECOND_HAND),
    125: (0.89, SourceStatus.MEMORY),
    200: (1, SourceStatus.MEMORY),
}

#: (fewest, most, factor): current-carrying conductors in one bundle.
NOTE_2: tuple[tuple[int, int | None, float], ...] = (
    (3, 3, 0.7),
    (4, 6, 0.6),
    (7, 24, 0.5),
    (25, None, 0.4),
)


def column_for(insulation_c: int) -> int:
    """Return the printed column for an insulation temperature [°C]: the next lower one.

    Parameters
    ----------
    insulation_c : int
        Insulation rating [°C], 60 or more.

    Returns
    -------
    int
        Column [°C].

    Raises
    ------
    OutOfTable
        If the rating is below the first column.
    """
    return next_lower_column(COLUMNS_C, insulation_c=insulation_c, clause=CLAUSE)


def allowable_a(*, gauge: str, insulation_c: int) -> int:
    """Return the allowable amperage outside engine spaces [A].

    Parameters
    ----------
    gauge : str
        "18" to "4/0".
    insulation_c : int
        Insulation rating [°C]; the next lower column counts.

    Returns
    -------
    int
        Printed amperage [A].

    Raises
    ------
    OutOfTable
        If gauge or insulation is not in the table.

    References
    ----------
    .. [1] 33 CFR 183.425, Table 5.
    """
    column = column_for(insulation_c)
    if gauge not in TABLE_5:
        raise OutOfTable(table=str(CLAUSE), asked=f"{gauge} AWG", holds="18 to 4/0 AWG")
    return TABLE_5[gauge][COLUMNS_C.index(column)]


def engine_space_factor(insulation_c: int) -> tuple[float, Clause]:
    """Return the engine-space factor and where it comes from.

    Parameters
    ----------
    insulation_c : int
        Insulation rating [°C]; the next lower column counts.

    Returns
    -------
    tuple of float and Clause
        Factor, and note 1 with the status of that row.

    References
    ----------
    .. [1] 33 CFR 183.425, Table 5, note 1.
    """
    factor, status = NOTE_1[column_for(insulation_c)]
    return factor, Clause(source="33 CFR 183.425", clause="Table 5, note 1", status=status)


def bundle_factor(conductors: int) -> float:
    """Return the bundling factor for circuits of 50 V or more.

    Parameters
    ----------
    conductors : int
        Current-carrying conductors in the bundle, 1 or more.

    Returns
    -------
    float
        Factor, 1 for one or two.

    References
    ----------
    .. [1] 33 CFR 183.425, Table 5, note 2; 183.435(b).
    """
    for fewest, most, factor in NOTE_2:
        if conductors >= fewest and (most is None or conductors <= most):
            return factor
    return 1.0
