"""COLREG 1972, Rule 22 and Annex I section 8: ranges and intensities of lights."""

from electrical.core.errors import OutOfTable, require_positive
from electrical.core.status import Clause, SourceStatus

RANGE_CLAUSE = Clause(source="COLREG 1972", clause="Rule 22", status=SourceStatus.READ)
INTENSITY_CLAUSE = Clause(
    source="COLREG 1972", clause="Annex I, section 8", status=SourceStatus.SECOND_HAND
)

#: Nautical miles by length class [from, below) in metres.
MIN_RANGE_NM: dict[tuple[float, float | None], dict[str, int]] = {
    (0.0, 12.0): {"masthead": 2, "sidelight": 1, "stern": 2, "towing": 2, "allround": 2},
    (12.0, 20.0): {"masthead": 3, "sidelight": 2, "stern": 2, "towing": 2, "allround": 2},
    (20.0, 50.0): {"masthead": 5, "sidelight": 2, "stern": 2, "towing": 2, "allround": 2},
    (50.0, None): {"masthead": 6, "sidelight": 3, "stern": 3, "towing": 3, "allround": 3},
}
THRESHOLD_LUX = 2e-7
TRANSMISSIVITY = 0.8


def min_range_nm(*, length_m: float, light: str) -> int:
    """Return the minimum range of a light [nautical miles].

    Parameters
    ----------
    length_m : float
        Length of the vessel [m], above 0.
    light : str
        ``"masthead"``, ``"sidelight"``, ``"stern"``, ``"towing"`` or ``"allround"``.

    Returns
    -------
    int
        Range [nautical miles].

    Raises
    ------
    OutOfTable
        If the light is not in the rule.
    BadInput
        If the length is not above 0.

    References
    ----------
    .. [1] COLREG 1972, Rule 22.
    """
    require_positive("Length", length_m, "m")
    for (_lower, below), ranges in MIN_RANGE_NM.items():
        if below is None or length_m < below:
            if light in ranges:
                return ranges[light]
            break
    raise OutOfTable(
        table=str(RANGE_CLAUSE),
        asked=f"a {light} light",
        holds="masthead, sidelight, stern, towing, allround",
    )


def min_intensity_cd(range_nm: float) -> float:
    """Return the luminous intensity needed for a range [cd].

    Parameters
    ----------
    range_nm : float
        Range [nautical miles], above 0.

    Returns
    -------
    float
        Intensity in service [cd].

    Raises
    ------
    BadInput
        If the range is not above 0.

    Notes
    -----
    I = 3.43·10⁶ · T · D² · K^−D with T = 2·10⁻⁷ lux and K = 0.8.

    References
    ----------
    .. [1] COLREG 1972, Annex I, section 8.
    """
    require_positive("Range", range_nm, "nautical miles")
    return float(3.43e6 * THRESHOLD_LUX * range_nm**2 * TRANSMISSIVITY**-range_nm)
