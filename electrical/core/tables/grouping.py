"""ABYC E-11: grouping factors for d.c. conductors lying together.

From memory; the row for two and three conductors differs by edition and the stricter
is taken. The US regulation has no bundling limit below 50 V; these factors are used
for every voltage and both rule sets because they are the conservative choice.
ISO 13297:2020 has a table of its own that has not been read.
"""

from electrical.core.errors import BadInput
from electrical.core.status import Clause, SourceStatus

CLAUSE = Clause(source="ABYC E-11", clause="d.c. bundling factors", status=SourceStatus.MEMORY)

#: (fewest, most, factor): loaded conductors lying together.
FACTORS: tuple[tuple[int, int | None, float], ...] = (
    (1, 1, 1),
    (2, 3, 0.7),
    (4, 6, 0.6),
    (7, 24, 0.5),
    (25, None, 0.4),
)


def grouping_factor(conductors: int) -> float:
    """Return the factor on ampacity for conductors lying together.

    Parameters
    ----------
    conductors : int
        Loaded conductors in the group, 1 or more.

    Returns
    -------
    float
        Factor from 0.4 to 1.

    Raises
    ------
    BadInput
        If `conductors` is below 1.

    References
    ----------
    .. [1] ABYC E-11, d.c. bundling factors (from memory).
    """
    for fewest, most, factor in FACTORS:
        if conductors >= fewest and (most is None or conductors <= most):
            return factor
    raise BadInput(f"Loaded conductors: {conductors}; at least 1.")
