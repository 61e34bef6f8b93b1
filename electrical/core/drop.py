"""Voltage drop of one run by the closed formulas of the standards."""

from math import pi
from typing import NamedTuple

from electrical.core.conductors import area_mm2
from electrical.core.design import Circuit
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


class ClosedFormulas(NamedTuple):
    """Drop of one run by the closed formulas of the standards, beside the solved one.

    Parameters
    ----------
    iso_v, iso_pct : float
        By the ISO formula [V], [% of nominal].
    us_v, us_pct : float
        By the US formula [V], [% of nominal].
    """

    iso_v: float
    iso_pct: float
    us_v: float
    us_pct: float


def closed_formulas(circuit: Circuit, *, current_a: float) -> ClosedFormulas | None:
    """Return the drop of a run by both closed formulas, None when it is not laid out.

    Parameters
    ----------
    circuit : Circuit
        The run.
    current_a : float
        Current at nominal voltage [A], 0 or more.

    Returns
    -------
    ClosedFormulas or None
        Reported, never deciding.

    Notes
    -----
    E of :func:`iso_drop_v` and :func:`us_drop_v` over all conductors in parallel;
    E% = 100 · E / U_nominal.

    References
    ----------
    .. [1] As named there.
    """
    if circuit.cable is None or circuit.route is None:
        return None
    length_m, parallel = circuit.route.length_m, circuit.cable.in_parallel
    area, mils = area_mm2(circuit.cable.size), formula_circular_mils(circuit.cable.size)
    iso_v = iso_drop_v(current_a=current_a, length_m=length_m, size_mm2=area * parallel)
    us_v = us_drop_v(current_a=current_a, length_m=length_m, circular_mils=mils * parallel)
    to_pct = 100.0 / circuit.nominal_v
    return ClosedFormulas(iso_v, iso_v * to_pct, us_v, us_v * to_pct)
