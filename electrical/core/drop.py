"""Voltage drop of one run by the closed formulas of the standards."""

from math import pi

from electrical.core.conductors import area_mm2
from electrical.core.errors import require_not_negative, require_positive
from electrical.core.sizes import ConductorSize
from electrical.core.tables import gauge
from electrical.core.tables.constants import (
    FOOT_M,
    ISO_DROP_OHM_MM2_PER_M,
    US_DROP_K_OHM_CMIL_PER_FT,
)

#: Circular mils in one square millimetre: (4 / π) / 0.0254².
CMIL_PER_MM2 = 4.0 / pi / 0.0254**2


def iso_drop_v(*, current_a: float, length_m: float, size_mm2: float) -> float:
    """Return the drop by the ISO formula [V].

    Parameters
    ----------
    current_a : float
        Current [A], 0 or more.
    length_m : float
        One-way length [m], 0 or more.
    size_mm2 : float
        Conductor area [mm²], above 0.

    Returns
    -------
    float
        Drop in both conductors [V].

    Notes
    -----
    E = 0.0164 · I · L / S, L there and back. The constant is 4.9 % below annealed
    copper at 20 °C, so the formula is reported, and never decides.

    References
    ----------
    .. [1] ISO 10133:2012, Annex A (from memory).
    """
    require_not_negative("Current", current_a, "A")
    require_not_negative("Length", length_m, "m")
    require_positive("Size", size_mm2, "mm²")
    return ISO_DROP_OHM_MM2_PER_M * current_a * 2.0 * length_m / size_mm2


def us_drop_v(*, current_a: float, length_m: float, circular_mils: float) -> float:
    """Return the drop by the US formula [V].

    Parameters
    ----------
    current_a : float
        Current [A], 0 or more.
    length_m : float
        One-way length [m], 0 or more.
    circular_mils : float
        Conductor area [cmil], above 0.

    Returns
    -------
    float
        Drop in both conductors [V].

    Notes
    -----
    E = K · I · L / CM with K = 10.75, L there and back in feet.

    References
    ----------
    .. [1] ABYC E-11, 11.14.2.6 (second-hand).
    """
    require_not_negative("Current", current_a, "A")
    require_not_negative("Length", length_m, "m")
    require_positive("Size", circular_mils, "circular mils")
    length_ft = 2.0 * length_m / FOOT_M
    return US_DROP_K_OHM_CMIL_PER_FT * current_a * length_ft / circular_mils


def formula_circular_mils(size: ConductorSize) -> float:
    """Return the circular mils for the US formula [cmil].

    Parameters
    ----------
    size : ConductorSize
        Metric or gauge size.

    Returns
    -------
    float
        Minimum circular mils of boat cable where the table has them, else the
        nominal area [cmil].
    """
    if size.awg is not None and size.awg in gauge.MIN_CIRCULAR_MILS:
        return float(gauge.min_circular_mils(size.awg))
    return area_mm2(size) * CMIL_PER_MM2
