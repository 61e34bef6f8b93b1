"""Ampacity: what a conductor may carry where it lies."""

from functools import cache, lru_cache
from math import sqrt
from typing import NamedTuple

from electrical.core.conductors import area_mm2
from electrical.core.errors import OutOfTable
from electrical.core.findings import RuleSet
from electrical.core.parts import Cable
from electrical.core.results import AmpacityResult, AmpacityVerdict
from electrical.core.status import Clause, least_certain
from electrical.core.tables import cfr183_425, gauge, grouping, iso10133


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


class Surroundings(NamedTuple):
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


@cache
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


def _corrected(  # noqa: PLR0917 - one caller per table, in the order of the formula
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
        clause = clause.at(least_certain(clause.status, grouping.CLAUSE.status))
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


ALONE = Surroundings()


@lru_cache(maxsize=4096)  # asked again for every circuit, device and choice tried
def ampacity(*, cable: Cable, rule_set: RuleSet, around: Surroundings = ALONE) -> AmpacityVerdict:
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
