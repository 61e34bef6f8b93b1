"""One run under load: its temperature, its hot resistance, its own drop."""

from math import sqrt

from electrical.core.conductors import conductor_temp_c, resistance
from electrical.core.design import Circuit, Design, OperatingState
from electrical.core.errors import OutOfTable
from electrical.core.findings import RuleSet
from electrical.core.results import ResistanceResult
from electrical.core.tables import cfr183_425, iso10133


def ambient_c(design: Design, circuit: Circuit) -> float:
    """Return the hottest air around a run [°C].

    Parameters
    ----------
    design : Design
        The design.
    circuit : Circuit
        One of its circuits.

    Returns
    -------
    float
        The design's or the route's air; in engine spaces the rule set's, if warmer.
    """
    route = circuit.route
    if route is None:
        return design.ambient_c
    air_c = route.ambient_c if route.ambient_c is not None else design.ambient_c
    if not route.in_engine_space:
        return air_c
    engine_c = (
        iso10133.ENGINE_SPACE_C if design.rule_set is RuleSet.ISO else cfr183_425.ENGINE_SPACE_C
    )
    return max(air_c, engine_c)


def hot_resistance(
    design: Design, circuit: Circuit, current_a: float, ampacity_a: float
) -> ResistanceResult | None:
    """Return the resistance of a run at the temperature its load gives it.

    Parameters
    ----------
    design : Design
        The design.
    circuit : Circuit
        One of its circuits.
    current_a : float
        Current in the run [A].
    ampacity_a : float
        Its corrected ampacity [A].

    Returns
    -------
    ResistanceResult or None
        None while cable or route is missing or the size is in no table.
    """
    if circuit.cable is None or circuit.route is None:
        return None
    temp_c = conductor_temp_c(
        ambient_c=ambient_c(design, circuit),
        insulation_c=circuit.cable.insulation_c,
        current_a=current_a,
        ampacity_a=ampacity_a,
    )
    try:
        return resistance(
            cable=circuit.cable, length_m=circuit.route.length_m, conductor_temp_c=min(temp_c, 300)
        )
    except OutOfTable:
        return None


def own_drop_v(
    circuit: Circuit,
    *,
    loop_r_ohm: float,
    current_a: float,
    state: OperatingState,
    start_v: float,
) -> float:
    """Return the drop in a run alone, every load taken as constant power [V].

    Parameters
    ----------
    circuit : Circuit
        The circuit; its loads may be connected along the run.
    loop_r_ohm : float
        Hot resistance of both conductors over the whole length [Ω].
    current_a : float
        Current at the start of the run at nominal voltage [A].
    state : OperatingState
        Decides which loads are on.
    start_v : float
        Voltage at the start of the run [V].

    Returns
    -------
    float
        Drop to the far end [V], all of `start_v` when the run can not carry the power.

    Notes
    -----
    Each load counts by the way to where it is connected, which gives an effective
    resistance R. With P = I · U_nominal the voltage left is the larger root of
    U² − U_start · U + R · P = 0. Constant power is the worst kind of load here.
    """
    share = _effective_share(circuit, current_a, state)
    power_w = current_a * circuit.nominal_v
    square = start_v**2 - 4.0 * loop_r_ohm * share * power_w
    return start_v if square < 0.0 else (start_v - sqrt(square)) / 2.0


def _effective_share(circuit: Circuit, current_a: float, state: OperatingState) -> float:
    """Share of the length that the whole current would run through for the same drop."""
    length_m = circuit.route.length_m if circuit.route else 0.0
    if length_m == 0.0 or current_a == 0.0 or not circuit.loads:
        return 1.0
    moment = sum(
        (load.current_in(state.loads_id) or 0.0)
        * min(1.0, (length_m if load.position_m is None else load.position_m) / length_m)
        for load in circuit.loads
    )
    return moment / current_a
