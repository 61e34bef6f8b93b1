"""What protective devices do in a fault: energy let through, time, selectivity."""

from dataclasses import dataclass
from functools import cache, lru_cache
from math import log, sqrt

from electrical.core.conductors import area_mm2
from electrical.core.curves import Curve, multiples_at, operating_time
from electrical.core.parts import Cable, DeviceType, Protection
from electrical.core.status import Clause, SourceStatus, least_certain
from electrical.core.tables.constants import (
    ADIABATIC_CLAUSE,
    BETA_COPPER_C,
    FINAL_PVC_C,
    FINAL_XLPE_C,
    K_COPPER,
)
from electrical.core.tables.time_current import curve_of

#: Breakers of unknown curve are taken to open a dead short within this time [s].
BREAKER_FAULT_S = 0.1
#: As long as this a conductor in a fault gives off no heat worth counting [s].
ADIABATIC_S = 5.0
BREAKERS = frozenset({DeviceType.PANEL_BREAKER, DeviceType.SURFACE_BREAKER})
#: From this rating on no insulation is thermoplastic [°C].
THERMOSETTING_FROM_C = 125


@dataclass(frozen=True, kw_only=True)
class LetThrough:
    """Most energy a device lets through in a fault.

    Parameters
    ----------
    i2t_a2s : float or None
        Largest I²t [A²s]; None when the device need not open.
    assumption : str
        How it was found, in words.
    status : SourceStatus
        How sure that is.
    current_a, time_s : float or None
        Current and time that give it [A], [s]; None when the device need not open.
    """

    i2t_a2s: float | None
    assumption: str
    status: SourceStatus
    current_a: float | None = None
    time_s: float | None = None


@cache
def adiabatic_k(insulation_c: int, *, is_thermosetting: bool | None = None) -> float:
    """Return the adiabatic constant of a copper conductor [A·s^0.5/mm²].

    Parameters
    ----------
    insulation_c : int
        Rating of its insulation [°C], 60 to 200: the temperature the fault starts from.
    is_thermosetting : bool or None
        Cross-linked or silicone; None = not known: below 125 °C it is then taken to be
        thermoplastic, which stands less.

    Returns
    -------
    float
        Constant k [A·s^0.5/mm²].

    Notes
    -----
    k = 226 · √(ln(1 + (θ_f − θ_i) / (234.5 + θ_i))), to 160 °C for thermoplastic and
    250 °C for thermosetting insulation; no thermoplastic is rated for 125 °C.

    References
    ----------
    .. [1] IEC 60364-5-54, Annex A (from memory).
    .. [2] BS 7671, Table 43.1 (second-hand), for comparison.
    """
    if is_thermosetting is None:
        is_thermosetting = insulation_c >= THERMOSETTING_FROM_C
    final_c = FINAL_XLPE_C if is_thermosetting else FINAL_PVC_C
    return K_COPPER * sqrt(log(1.0 + (final_c - insulation_c) / (BETA_COPPER_C + insulation_c)))


def withstand_i2t_a2s(cable: Cable) -> float:
    """Return the energy a conductor stands for less than five seconds [A²s].

    Parameters
    ----------
    cable : Cable
        The conductor.

    Returns
    -------
    float
        k² · S² [A²s], with every conductor in parallel taken as one alone.

    Notes
    -----
    The fault starts at the limit of the insulation: :func:`adiabatic_k`.

    References
    ----------
    .. [1] IEC 60364-4-43, 434.5.2 (from memory).
    """
    k = adiabatic_k(cable.insulation_c, is_thermosetting=cable.is_thermosetting)
    return (k * area_mm2(cable.size)) ** 2


def let_through(
    protection: Protection, *, fault_a: float, least_a: float | None = None
) -> LetThrough | None:
    """Return the most energy a device lets through, None when nothing is known of it.

    Parameters
    ----------
    protection : Protection
        The device.
    fault_a : float
        Largest fault current [A].
    least_a : float or None
        Smallest fault current, that of a short at the far end [A]; None = not known,
        then the largest alone counts.

    Returns
    -------
    LetThrough or None
        The most over all currents between both, as far as the device opens within the
        five seconds for which a conductor keeps its heat: a slow device may let more
        through at a small fault. Inside the band I² times the longest time. Above the
        last row of a fuse-link the energy of that row: a melting link needs no more
        energy when the current is larger (common practice). A breaker of unknown curve
        is taken to open a dead short within 0.1 s (common practice).

    Notes
    -----
    I²t = I_c² · t_max(I_c) with I_c = min(I_fault, last multiple · I_n) for a fuse-link,
    I_c = I_fault for a breaker. Between rows it is largest at one of them, since the band
    is straight on double logarithmic paper.

    References
    ----------
    .. [1] IEC 60364-4-43, 434.5.2 (from memory): to be shown for every short circuit.
    """
    curve = curve_of(protection)
    if curve is not None:
        low_a = fault_a if least_a is None else min(least_a, fault_a)
        return _through_band(curve, protection.rating_a, fault_a, low_a)
    if protection.device in BREAKERS:
        return LetThrough(
            i2t_a2s=fault_a**2 * BREAKER_FAULT_S,
            assumption=f"breaker taken to open within {BREAKER_FAULT_S:g} s",
            status=SourceStatus.PRACTICE,
            current_a=fault_a,
            time_s=BREAKER_FAULT_S,
        )
    return None


@lru_cache(maxsize=4096)  # many circuits, few pairs of device and place
def _through_band(curve: Curve, rating_a: float, fault_a: float, least_a: float) -> LetThrough:
    worst = _through_at(curve, rating_a, fault_a)
    if worst.i2t_a2s is None or least_a >= fault_a:
        return worst
    multiples = [point.multiple for point in curve.points]
    multiples += [least_a / rating_a, *multiples_at(curve, ADIABATIC_S)]
    currents_a = [multiple * rating_a for multiple in multiples]
    smaller = [_through_at(curve, rating_a, a) for a in currents_a if least_a <= a < fault_a]
    longest_s = ADIABATIC_S * (1.0 + 1e-9)
    soon = [one for one in smaller if one.time_s is not None and one.time_s <= longest_s]
    return max((worst, *soon), key=lambda one: one.i2t_a2s or 0.0)


def _through_at(curve: Curve, rating_a: float, fault_a: float) -> LetThrough:
    counted_a = min(fault_a, curve.last.multiple * rating_a) if curve.melts else fault_a
    band = operating_time(curve, rating_a=rating_a, current_a=counted_a)
    status = curve.clause.status
    if band is None or band.t_max_s is None:
        return LetThrough(i2t_a2s=None, assumption="need not open", status=status)
    return LetThrough(
        i2t_a2s=counted_a**2 * band.t_max_s,
        assumption=f"opens within {band.t_max_s:.2g} s at {counted_a:.0f} A",
        status=least_certain(status, ADIABATIC_CLAUSE.status),
        current_a=counted_a,
        time_s=band.t_max_s,
    )


@dataclass(frozen=True, kw_only=True)
class Selectivity:
    """Whether only the nearer of two devices opens.

    Parameters
    ----------
    is_selective : bool
        The farther device holds until the nearer has opened.
    at_a : float
        Current at which that was decided [A].
    near_t_max_s, far_t_min_s : float
        Longest time of the nearer, shortest of the farther device [s].
    clause : Clause
        Source of the bands, with status.
    """

    is_selective: bool
    at_a: float
    near_t_max_s: float
    far_t_min_s: float
    clause: Clause


def selectivity(near: Protection, far: Protection, *, fault_a: float) -> Selectivity | None:
    """Compare two devices in series, None when a curve is not known.

    Parameters
    ----------
    near : Protection
        The device nearer the fault.
    far : Protection
        The device ahead of it.
    fault_a : float
        Largest fault current behind the nearer device [A].

    Returns
    -------
    Selectivity or None
        At every printed multiple of either device up to `fault_a`, and beyond a
        fuse-link's last row by energy.

    Notes
    -----
    Selective where t_max of the nearer < t_min of the farther device.

    References
    ----------
    .. [1] ISO 8820-3, ISO 8820-5 (from memory), where the maker tells no curve.
    """
    near_curve, far_curve = curve_of(near), curve_of(far)
    if near_curve is None or far_curve is None:
        return None
    last_a = max(near_curve.last.multiple * near.rating_a, far_curve.last.multiple * far.rating_a)
    return _worst_pairing(
        (near_curve, near.rating_a), (far_curve, far.rating_a), min(fault_a, last_a)
    )


_Rated = tuple[Curve, float]
"""Curve and rating [A]: all that the times depend on."""


@lru_cache(maxsize=4096)  # many circuits, few pairs of devices
def _worst_pairing(near: _Rated, far: _Rated, most_a: float) -> Selectivity | None:
    candidates = {
        point.multiple * rating_a for curve, rating_a in (near, far) for point in curve.points
    } | {most_a}
    worst: Selectivity | None = None
    for current_a in sorted(c for c in candidates if c <= most_a):
        here = _compare(near, far, current_a)
        if here is not None and (worst is None or (worst.is_selective and not here.is_selective)):
            worst = here
    return worst


def _compare(near: _Rated, far: _Rated, current_a: float) -> Selectivity | None:
    (near_curve, near_rating_a), (far_curve, far_rating_a) = near, far
    near_band = operating_time(near_curve, rating_a=near_rating_a, current_a=current_a)
    far_band = operating_time(far_curve, rating_a=far_rating_a, current_a=current_a)
    if near_band is None or far_band is None or near_band.t_max_s is None:
        return None
    near_s, far_s = near_band.t_max_s, far_band.t_min_s
    near_last_a = near_curve.last.multiple * near_rating_a
    far_last_a = far_curve.last.multiple * far_rating_a
    # Beyond its last row the energy of a fuse-link, not its time, is constant.
    if current_a > near_last_a and near_curve.melts:
        near_s *= (near_last_a / current_a) ** 2
    if current_a >= far_last_a:
        far_s = far_curve.last.t_min_s
        if far_curve.melts:
            far_s *= (far_last_a / current_a) ** 2
    return Selectivity(
        is_selective=far_band.t_max_s is None or near_s < far_s,
        at_a=current_a,
        near_t_max_s=near_s,
        far_t_min_s=far_s,
        clause=_less_sure(near_curve.clause, far_curve.clause),
    )


def _less_sure(one: Clause, other: Clause) -> Clause:
    return one if one.status.certainty < other.status.certainty else other
