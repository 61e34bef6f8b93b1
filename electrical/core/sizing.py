"""The next size or rating that would do: what remedies offer."""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from electrical.core.ampacity import ampacity
from electrical.core.conductors import area_mm2
from electrical.core.errors import OutOfTable
from electrical.core.facts import CircuitFacts, surroundings
from electrical.core.findings import Remedy, RemedyKind
from electrical.core.parts import Cable, DeviceType
from electrical.core.runs import hot_resistance
from electrical.core.sizes import ConductorSize, awg, mm2
from electrical.core.tables import cfr183_425, fuse_ratings, iso10133

METRIC_SIZES = tuple(mm2(size) for size in iso10133.TABLE)
GAUGE_SIZES = tuple(awg(gauge) for gauge in cfr183_425.TABLE_5)


def _larger_cables(cable: Cable) -> Iterator[Cable]:
    sizes = METRIC_SIZES if cable.size.mm2 is not None else GAUGE_SIZES
    here = area_mm2(cable.size)
    for size in sizes:
        if area_mm2(size) > here:
            yield replace(cable, size=size, max_r_ohm_per_km=None)


def cable_ampacity_a(facts: CircuitFacts, cable: Cable) -> float | None:
    """Return the corrected ampacity another cable would have in this run [A].

    Parameters
    ----------
    facts : CircuitFacts
        The run.
    cable : Cable
        Another cable.

    Returns
    -------
    float or None
        Ampacity [A] with the same neighbours; None when no table holds it.
    """
    around = surroundings(facts.design, facts.circuit)
    if facts.ampacity is not None:
        grouped = facts.ampacity.deciding.grouped_conductors
        around = around._replace(grouped_conductors=grouped)
    try:
        return ampacity(
            cable=cable, rule_set=facts.design.rule_set, around=around
        ).deciding.corrected_a
    except OutOfTable:
        return None


def own_drop_with_v(facts: CircuitFacts, cable: Cable) -> float | None:
    """Return the drop in this run alone with another cable [V].

    Parameters
    ----------
    facts : CircuitFacts
        The run, with its drop computed.
    cable : Cable
        Another cable.

    Returns
    -------
    float or None
        Drop [V] at the same current; None when no table holds the cable.
    """
    ampacity_a = cable_ampacity_a(facts, cable)
    if facts.drop is None or facts.resistance is None or ampacity_a is None:
        return None
    other = replace(facts.circuit, cable=cable)
    hot = hot_resistance(facts.design, other, facts.drop.current_a, ampacity_a)
    if hot is None or facts.resistance.loop_r_ohm == 0.0:
        return None
    return facts.drop.own_v * hot.loop_r_ohm / facts.resistance.loop_r_ohm


def cable_remedy(facts: CircuitFacts, size: ConductorSize, result: str = "") -> Remedy:
    """Return the remedy "use this size".

    Parameters
    ----------
    facts : CircuitFacts
        The circuit.
    size : ConductorSize
        Size to use.
    result : str
        What that gives, in words.

    Returns
    -------
    Remedy
        The remedy.
    """
    change: dict[str, object] = {"circuit": facts.circuit.id}
    if size.mm2 is not None:
        change["size_mm2"] = size.mm2
    else:
        change["size_awg"] = size.awg
    return Remedy(kind=RemedyKind.CABLE, label=f"Use {size.label}", change=change, result=result)


def cable_for_current(facts: CircuitFacts, needed_a: float) -> tuple[Remedy, ...]:
    """Return the smallest larger cable that may carry a current, if there is one.

    Parameters
    ----------
    facts : CircuitFacts
        The circuit.
    needed_a : float
        Current to carry [A].

    Returns
    -------
    tuple of Remedy
        One or none.
    """
    if facts.circuit.cable is None or facts.is_trial:
        return ()
    for cable in _larger_cables(facts.circuit.cable):
        ampacity_a = cable_ampacity_a(facts, cable)
        if ampacity_a is not None and ampacity_a >= needed_a:
            return (cable_remedy(facts, cable.size, f"may carry {ampacity_a:.0f} A"),)
    return ()


def cable_for_drop(facts: CircuitFacts) -> tuple[Remedy, ...]:
    """Return the smallest larger cable that keeps the drop limit, if there is one.

    Parameters
    ----------
    facts : CircuitFacts
        The circuit, with its drop computed.

    Returns
    -------
    tuple of Remedy
        One or none.
    """
    if facts.circuit.cable is None or facts.drop is None or facts.is_trial:
        return ()
    drop = facts.drop
    for cable in _larger_cables(facts.circuit.cable):
        own_v = own_drop_with_v(facts, cable)
        if own_v is None:
            continue
        pct = 100.0 * (own_v + drop.upstream_v) / facts.circuit.nominal_v
        if pct <= drop.limit_pct:
            return (cable_remedy(facts, cable.size, f"drop {pct:.1f} %"),)
    return ()


def series_a(device: DeviceType) -> tuple[float, ...]:
    """Return the ratings of a kind of device; blade ratings where none are known.

    Parameters
    ----------
    device : DeviceType
        Generic kind.

    Returns
    -------
    tuple of float
        Ratings [A], ascending.
    """
    return fuse_ratings.RATINGS_A.get(device, fuse_ratings.RATINGS_A[DeviceType.BLADE])


def rating_between(
    ratings_a: Iterable[float], *, at_least_a: float, at_most_a: float
) -> float | None:
    """Return the smallest rating within two limits.

    Parameters
    ----------
    ratings_a : Iterable of float
        Ratings on offer [A].
    at_least_a, at_most_a : float
        Limits [A].

    Returns
    -------
    float or None
        Rating [A]; None when none fits.
    """
    fitting = (rating for rating in ratings_a if at_least_a <= rating <= at_most_a)
    return min(fitting, default=None)


def rating_remedy(
    facts: CircuitFacts, *, at_least_a: float, at_most_a: float
) -> tuple[Remedy, ...]:
    """Return the remedy "fit this rating", if a preferred rating fits.

    Parameters
    ----------
    facts : CircuitFacts
        The circuit.
    at_least_a, at_most_a : float
        Limits of the rating [A].

    Returns
    -------
    tuple of Remedy
        One or none.
    """
    if facts.is_trial:
        return ()
    protection = facts.circuit.protection
    device = protection.device if protection else DeviceType.BLADE
    key = "end_rating_a" if facts.is_far_end else "rating_a"
    rating_a = rating_between(series_a(device), at_least_a=at_least_a, at_most_a=at_most_a)
    if rating_a is None or (protection is not None and rating_a == protection.rating_a):
        return ()
    return (
        Remedy(
            kind=RemedyKind.PROTECTION,
            label=f"Fit {rating_a:g} A{' at the far end' if facts.is_far_end else ''}",
            change={"circuit": facts.circuit.id, key: rating_a},
        ),
    )
