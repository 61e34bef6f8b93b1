"""Battery fault current: ABYC E-11 breaking capacities, and internal resistance.

The table by cold cranking current was seen in one reprint of an older edition, for
12 and 24 V. Newer text for large banks is second-hand: above 2200 A cold cranking or
500 Ah the device breaks at least the maker's short-circuit current, and 20 kA where
that is above 10 kA. Short-circuit currents of parallel strings add.
"""

from dataclasses import dataclass

from electrical.core.errors import require_positive
from electrical.core.sources import Chemistry
from electrical.core.status import Clause, SourceStatus

CLAUSE = Clause(source="ABYC E-11", clause="Table V-A", status=SourceStatus.SECOND_HAND)
LARGE_BANK_CLAUSE = Clause(
    source="ABYC E-11", clause="large battery banks", status=SourceStatus.SECOND_HAND
)
INTERNAL_R_CLAUSE = Clause(
    source="common practice, no source",
    clause="internal resistance of a 12 V 100 Ah battery",
    status=SourceStatus.MEMORY,
)

#: (lowest, highest cold cranking current, main device, branch device) [A].
BREAKING_A: tuple[tuple[float, float | None, float, float], ...] = (
    (0, 650, 1500, 750),
    (651, 1100, 3000, 1500),
    (1101, None, 5000, 2500),
)
LARGE_BANK_CCA_A = 2200.0
LARGE_BANK_AH = 500.0
LARGE_BANK_THRESHOLD_A = 10_000.0
LARGE_BANK_BREAKING_A = 20_000.0

#: Least internal resistance remembered for 12 V, 100 Ah [Ω]: gives the largest fault.
INTERNAL_R_12V_100AH_OHM: dict[Chemistry, float] = {
    Chemistry.FLOODED: 0.006,
    Chemistry.AGM: 0.003,
    Chemistry.GEL: 0.004,
    Chemistry.LFP: 0.002,
}


@dataclass(frozen=True, kw_only=True)
class RequiredBreaking:
    """Least breaking capacity by battery size.

    Parameters
    ----------
    main_a, branch_a : float
        First device after the battery, and every other [A].
    clause : Clause
        Source and status.
    """

    main_a: float
    branch_a: float
    clause: Clause


def required_breaking(*, cca_a: float) -> RequiredBreaking:
    """Return the least breaking capacity for a bank by cold cranking current [A].

    Parameters
    ----------
    cca_a : float
        Cold cranking current of the whole bank [A], above 0.

    Returns
    -------
    RequiredBreaking
        For the main and the branch device.

    Raises
    ------
    BadInput
        If the current is not above 0.

    References
    ----------
    .. [1] ABYC E-11, Table V-A (older edition).
    """
    require_positive("Cold cranking current", cca_a, "A")
    _lowest, _highest, main_a, branch_a = next(
        row for row in BREAKING_A if row[1] is None or cca_a < row[1] + 1
    )
    return RequiredBreaking(main_a=main_a, branch_a=branch_a, clause=CLAUSE)


def large_bank_breaking_a(
    *, cca_a: float | None, capacity_ah: float | None, short_circuit_a: float
) -> float | None:
    """Return what the main device of a large bank must break [A], None for a small one.

    Parameters
    ----------
    cca_a : float or None
        Cold cranking current of the whole bank [A]; None = not known.
    capacity_ah : float or None
        Capacity of the whole bank [Ah]; None = not known.
    short_circuit_a : float
        Its short-circuit current [A].

    Returns
    -------
    float or None
        Breaking capacity [A]: the short-circuit current, 20 kA at least above 10 kA.

    References
    ----------
    .. [1] ABYC E-11, large battery banks (second-hand, two quotations).
    """
    is_large = (cca_a or 0.0) > LARGE_BANK_CCA_A or (capacity_ah or 0.0) > LARGE_BANK_AH
    if not is_large:
        return None
    if short_circuit_a > LARGE_BANK_THRESHOLD_A:
        return max(short_circuit_a, LARGE_BANK_BREAKING_A)
    return short_circuit_a


def typical_internal_r_ohm(
    *, chemistry: Chemistry, capacity_ah: float, nominal_v: float
) -> float | None:
    """Return a low typical internal resistance of a bank [Ω], None without data.

    Parameters
    ----------
    chemistry : Chemistry
        Battery chemistry.
    capacity_ah : float
        Capacity of the bank [Ah], above 0.
    nominal_v : float
        Nominal voltage [V], above 0.

    Returns
    -------
    float or None
        Resistance [Ω].

    Notes
    -----
    Blocks of 12 V in series, strings in parallel: R = R₁₀₀ · (U / 12) · (100 / C).
    """
    base = INTERNAL_R_12V_100AH_OHM.get(chemistry)
    if base is None:
        return None
    return base * (nominal_v / 12.0) * (100.0 / capacity_ah)
