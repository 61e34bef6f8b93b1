"""NFPA 70 Table 690.7(A): open-circuit voltage of crystalline silicon in the cold.

From memory except the warmest row. Used only when the maker's coefficient is absent.
"""

from electrical.core.errors import OutOfTable
from electrical.core.status import Clause, SourceStatus

CLAUSE = Clause(source="NFPA 70", clause="Table 690.7(A)", status=SourceStatus.MEMORY)

#: (coldest temperature of the row [°C], factor), warmest row first.
ROWS: tuple[tuple[int, float], ...] = (
    (20, 1.02),
    (15, 1.04),
    (10, 1.06),
    (5, 1.08),
    (0, 1.1),
    (-5, 1.12),
    (-10, 1.14),
    (-15, 1.16),
    (-20, 1.18),
    (-25, 1.2),
    (-30, 1.21),
    (-35, 1.23),
    (-40, 1.25),
)
WARMEST_C = 24


def cold_factor(lowest_c: float) -> float:
    """Return the factor on open-circuit voltage at the lowest temperature.

    Parameters
    ----------
    lowest_c : float
        Lowest expected air temperature [°C], -40 to 25.

    Returns
    -------
    float
        Factor.

    Raises
    ------
    OutOfTable
        If the temperature is outside the table.

    References
    ----------
    .. [1] NFPA 70, Table 690.7(A) (from memory).
    """
    if not ROWS[-1][0] <= lowest_c < WARMEST_C + 1:
        raise OutOfTable(table=str(CLAUSE), asked=f"{lowest_c:g} °C", holds="-40 to 24 °C")
    for coldest_c, factor in ROWS:
        if lowest_c >= coldest_c:
            return factor
    raise AssertionError("the rows reach the coldest temperature")
