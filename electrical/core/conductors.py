"""Resistance and temperature of conductors."""

from electrical.core.errors import BadInput, require_not_negative
from electrical.core.parts import Cable, CableConstruction
from electrical.core.results import ResistanceResult
from electrical.core.sizes import ConductorSize
from electrical.core.status import Clause, SourceStatus
from electrical.core.tables import gauge, iec60228
from electrical.core.tables.constants import ALPHA_CU_20_PER_K, RHO_CU_20_OHM_MM2_PER_M

MAKER_CLAUSE = Clause(
    source="maker's data", clause="maximum resistance", status=SourceStatus.SECOND_HAND
)
#: Above this share of its ampacity the temperature estimate stops rising.
MAX_LOAD_RATIO = 1.5


def area_mm2(size: ConductorSize) -> float:
    """Return the nominal copper area [mm²].

    Parameters
    ----------
    size : ConductorSize
        Metric or gauge size.

    Returns
    -------
    float
        Area [mm²].

    Raises
    ------
    OutOfTable
        If the gauge is not defined.
    """
    return size.mm2 if size.mm2 is not None else gauge.area_mm2(str(size.awg))


def max_r20_ohm_per_km(cable: Cable) -> tuple[float, Clause]:
    """Return the maximum resistance of one conductor at 20 °C [Ω/km] and its source.

    Parameters
    ----------
    cable : Cable
        The conductor pair; a maker's figure replaces the table's.

    Returns
    -------
    tuple of float and Clause
        Resistance [Ω/km] of one conductor, not divided by conductors in parallel.

    Raises
    ------
    OutOfTable
        If the size is not in the table of its class.

    References
    ----------
    .. [1] IEC 60228:2004, Tables 1 to 3.
    .. [2] ASTM B258.
    """
    if cable.max_r_ohm_per_km is not None:
        return cable.max_r_ohm_per_km, MAKER_CLAUSE
    if cable.size.mm2 is not None:
        r20 = iec60228.max_r20_ohm_per_km(
            mm2=cable.size.mm2, construction=cable.construction, tinned=cable.tinned
        )
        return r20, iec60228.CLAUSES[cable.construction]
    solid = cable.construction is CableConstruction.SOLID
    return gauge.max_r20_ohm_per_km(str(cable.size.awg), stranded=not solid), gauge.CLAUSE


def at_temperature(*, r20_ohm: float, temp_c: float) -> float:
    """Return a copper resistance at another temperature [same unit as `r20_ohm`].

    Parameters
    ----------
    r20_ohm : float
        Resistance at 20 °C [Ω or Ω/km], 0 or more.
    temp_c : float
        Conductor temperature [°C], -40 to 300.

    Returns
    -------
    float
        Resistance at `temp_c`.

    Raises
    ------
    BadInput
        If the temperature is outside the range.

    Notes
    -----
    R(T) = R₂₀ · (1 + α · (T − 20)), α = 0.00393 /K.

    References
    ----------
    .. [1] NBS Handbook 100.
    """
    if not -40.0 <= temp_c <= 300.0:
        raise BadInput(f"Conductor temperature: {temp_c:g} °C; -40 to 300 °C allowed.")
    return r20_ohm * (1.0 + ALPHA_CU_20_PER_K * (temp_c - 20.0))


def resistance(*, cable: Cable, length_m: float, conductor_temp_c: float) -> ResistanceResult:
    """Return the resistance of a run, both conductors, at conductor temperature.

    Parameters
    ----------
    cable : Cable
        The conductor pair.
    length_m : float
        One-way length [m], 0 or more.
    conductor_temp_c : float
        Conductor temperature [°C], -40 to 300.

    Returns
    -------
    ResistanceResult
        With every intermediate value.

    Raises
    ------
    OutOfTable
        If the size is not in its table.
    BadInput
        If length or temperature is impossible.

    Notes
    -----
    R = 2 · l · R(T) / n with n conductors in parallel per pole.
    """
    require_not_negative("Length", length_m, "m")
    r20, clause = max_r20_ohm_per_km(cable)
    r_hot = at_temperature(r20_ohm=r20, temp_c=conductor_temp_c)
    return ResistanceResult(
        r20_ohm_per_km=r20,
        conductor_temp_c=conductor_temp_c,
        r_ohm_per_km=r_hot,
        loop_r_ohm=2.0 * length_m / 1000.0 * r_hot / cable.in_parallel,
        clause=clause,
    )


def least_loop_r_ohm(*, cable: Cable, length_m: float) -> float:
    """Return a low estimate of the loop resistance, for the largest fault current [Ω].

    Parameters
    ----------
    cable : Cable
        The conductor pair.
    length_m : float
        One-way length [m], 0 or more.

    Returns
    -------
    float
        Loop resistance [Ω], cold, with the full nominal area, or by the maker's largest
        where that is less.

    Notes
    -----
    R = 2 · l · ρ₂₀ / (A · n).
    """
    per_m = RHO_CU_20_OHM_MM2_PER_M / area_mm2(cable.size)
    if cable.max_r_ohm_per_km is not None:
        per_m = min(per_m, cable.max_r_ohm_per_km / 1000.0)
    return 2.0 * length_m * per_m / cable.in_parallel


def most_loop_r_ohm(*, cable: Cable, length_m: float) -> float:
    """Return a high estimate of the loop resistance, for the least fault current [Ω].

    Parameters
    ----------
    cable : Cable
        The conductor pair.
    length_m : float
        One-way length [m], 0 or more.

    Returns
    -------
    float
        Loop resistance [Ω] at the insulation's limit, with the largest resistance its class
        or its maker allows.

    Raises
    ------
    OutOfTable
        If the size is not in its table.
    """
    return resistance(
        cable=cable, length_m=length_m, conductor_temp_c=cable.insulation_c
    ).loop_r_ohm


def conductor_temp_c(
    *, ambient_c: float, insulation_c: float, current_a: float, ampacity_a: float
) -> float:
    """Return the conductor temperature under load [°C].

    Parameters
    ----------
    ambient_c : float
        Surrounding air [°C].
    insulation_c : float
        Insulation rating [°C]: the temperature reached at `ampacity_a`.
    current_a : float
        Current in the conductor [A], 0 or more.
    ampacity_a : float
        Corrected ampacity for this place [A]; 0 when it may carry nothing.

    Returns
    -------
    float
        Temperature [°C]. The load counts up to 1.5 times the ampacity; beyond
        that the ampacity rule has stopped the design anyway.

    Notes
    -----
    Heating goes with the square of the current and the full rise is reached at the
    ampacity: T = Tₐ + (T_ins − Tₐ) · (I / I_z)².
    """
    if insulation_c <= ambient_c or ampacity_a <= 0.0:
        return max(ambient_c, insulation_c)
    ratio = min(current_a / ampacity_a, MAX_LOAD_RATIO)
    return ambient_c + (insulation_c - ambient_c) * ratio**2
