"""Resistance, temperature and ampacity of conductors."""

from dataclasses import dataclass
from math import sqrt

from electrical.core.errors import BadInput, OutOfTable, require_not_negative
from electrical.core.findings import RuleSet
from electrical.core.parts import Cable, CableConstruction
from electrical.core.results import AmpacityResult, AmpacityVerdict, ResistanceResult
from electrical.core.sizes import ConductorSize
from electrical.core.status import Clause, SourceStatus, least_certain
from electrical.core.tables import cfr183_425, gauge, grouping, iec60228, iso10133
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
        2 · l · ρ₂₀ / A / n [Ω], cold, with the full nominal area.
    """
    per_m = RHO_CU_20_OHM_MM2_PER_M / area_mm2(cable.size)
    return 2.0 * length_m * per_m / cable.in_parallel


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


def ambient_factor(*, insulation_c: float, ambient_c: float) -> float:
    """Return the factor on ampacity for air warmer than the tables' 30 °C.

    Parameters
    ----------
    insulation_c : float
        Insulation rating [°C].
    ambient_c : float
        Surrounding air [°C].

    Returns
    -------
    float
        1 at 30 °C and below, 0 where the air is as hot as the insulation allows.

    Notes
    -----
    √((T_ins − Tₐ) / (T_ins − 30)). It reproduces note 1 of Table 5 at 50 °C to
    within its rounding for 60 to 125 °C insulation.

    References
    ----------
    .. [1] 33 CFR 183.425, Table 5, note 1 (for comparison).
    """
    if ambient_c <= cfr183_425.AMBIENT_C:
        return 1.0
    if ambient_c >= insulation_c:
        return 0.0
    return sqrt((insulation_c - ambient_c) / (insulation_c - cfr183_425.AMBIENT_C))


@dataclass(frozen=True, kw_only=True)
class Surroundings:
    """What the ampacity of a run depends on besides the cable.

    Parameters
    ----------
    in_engine_space : bool
        Any part lies in an engine space.
    ambient_c : float
        Hottest air on the way, engine spaces apart [°C].
    grouped_conductors : int
        Loaded conductors in the fullest segment, this run's own included; 2 = alone.
    segment_id : str
        That segment.
    """

    in_engine_space: bool = False
    ambient_c: float = 30.0
    grouped_conductors: int = 2
    segment_id: str = ""


def group_factor(conductors: int) -> float:
    """Return the grouping factor of a run by the loaded conductors around it.

    Parameters
    ----------
    conductors : int
        Loaded conductors in the fullest segment, this run's own included.

    Returns
    -------
    float
        1 for a run's own pair alone, else the table's factor.

    Notes
    -----
    One pair is what the ampacity tables are for: older editions and note 2 of
    33 CFR 183.425 Table 5 reduce from three conductors on.
    """
    return 1.0 if conductors <= 2 else grouping.grouping_factor(conductors)


def next_smaller_gauge(size_mm2: float) -> str | None:
    """Return the largest gauge of Table 5 whose copper does not exceed `size_mm2`.

    Parameters
    ----------
    size_mm2 : float
        Nominal cross-section [mm²].

    Returns
    -------
    str or None
        Gauge, None below 18 AWG.

    References
    ----------
    .. [1] 33 CFR 183.425, Table 5.
    .. [2] ASTM B258.
    """
    fitting = [g for g in cfr183_425.TABLE_5 if gauge.area_mm2(g) <= size_mm2 + 1e-9]
    return max(fitting, key=gauge.area_mm2, default=None)


def next_smaller_metric(size_mm2: float) -> float | None:
    """Return the largest metric size of the ISO table not above `size_mm2` [mm²].

    Parameters
    ----------
    size_mm2 : float
        Copper area [mm²].

    Returns
    -------
    float or None
        Size [mm²], None below the table.
    """
    return max((size for size in iso10133.TABLE if size <= size_mm2 + 1e-9), default=None)


def _us_ampacity(cable: Cable, around: Surroundings) -> AmpacityResult | None:
    row = cable.size.awg or next_smaller_gauge(area_mm2(cable.size))
    if row is None:
        return None
    table_a = cfr183_425.allowable_a(gauge=row, insulation_c=cable.insulation_c)
    engine, clause = 1.0, cfr183_425.CLAUSE
    if around.in_engine_space:
        engine, note = cfr183_425.engine_space_factor(cable.insulation_c)
        clause = Clause(source=clause.source, clause="Table 5 and note 1", status=note.status)
    column = cfr183_425.column_for(cable.insulation_c)
    return _corrected(cable, around, table_a, column, f"{row} AWG", engine, clause)


def _iso_ampacity(cable: Cable, around: Surroundings) -> AmpacityResult | None:
    row = cable.size.mm2 if cable.size.mm2 is not None else None
    row = row if row is not None else next_smaller_metric(area_mm2(cable.size))
    if row is None:
        return None
    table_a = iso10133.continuous_a(mm2=row, insulation_c=cable.insulation_c)
    engine: float | None = 1.0
    if around.in_engine_space:
        engine = iso10133.engine_space_factor(cable.insulation_c)
    column = iso10133.column_for(cable.insulation_c)
    return _corrected(
        cable, around, table_a, column, f"{row:g} mm²", engine or 0.0, iso10133.CLAUSE
    )


def _corrected(
    cable: Cable,
    around: Surroundings,
    table_a: float,
    column_c: int,
    size_label: str,
    engine: float,
    clause: Clause,
) -> AmpacityResult:
    warm = ambient_factor(insulation_c=column_c, ambient_c=around.ambient_c)
    grouped = group_factor(around.grouped_conductors)
    if grouped < 1.0:
        status = least_certain(clause.status, grouping.CLAUSE.status)
        clause = Clause(source=clause.source, clause=clause.clause, status=status)
    return AmpacityResult(
        table_a=table_a,
        column_c=column_c,
        size_label=size_label,
        engine_factor=engine,
        ambient_factor=warm,
        group_factor=grouped,
        grouped_conductors=around.grouped_conductors,
        segment_id=around.segment_id,
        in_parallel=cable.in_parallel,
        corrected_a=table_a * min(engine, warm) * grouped * cable.in_parallel,
        clause=clause,
    )


def ampacity(
    *, cable: Cable, rule_set: RuleSet, around: Surroundings = Surroundings()
) -> AmpacityVerdict:
    """Return what a conductor may carry, corrected for its surroundings.

    Parameters
    ----------
    cable : Cable
        The conductor pair.
    rule_set : RuleSet
        Which table leads.
    around : Surroundings
        Engine space, air, neighbours.

    Returns
    -------
    AmpacityVerdict
        US: Table 5, a metric size by the next smaller gauge. ISO: the ISO table,
        which is known from memory only, compared with Table 5; the stricter decides.

    Raises
    ------
    OutOfTable
        If no table holds the size or the insulation.

    Notes
    -----
    I_z = I_table · min(k_engine, k_ambient) · k_group · n.

    References
    ----------
    .. [1] 33 CFR 183.425, Table 5.
    .. [2] ISO 10133:2012, Table A.2 (from memory).
    """
    us = _us_ampacity(cable, around)
    if rule_set is RuleSet.US:
        if us is None:
            raise OutOfTable(
                table=str(cfr183_425.CLAUSE), asked=cable.size.label, holds="18 to 4/0 AWG"
            )
        return AmpacityVerdict(deciding=us)
    iso = _iso_ampacity(cable, around)
    if iso is None:
        raise OutOfTable(
            table=str(iso10133.CLAUSE), asked=cable.size.label, holds="0.75 to 150 mm²"
        )
    if us is None or iso.corrected_a < us.corrected_a:
        return AmpacityVerdict(deciding=iso, compared=us, from_memory_decides=True)
    return AmpacityVerdict(deciding=us, compared=iso)
