"""Figures of the rules about a circuit."""

from __future__ import annotations

from electrical.core.conductors import area_mm2
from electrical.core.protection import adiabatic_k, let_through, selectivity
from electrical.core.rules.boards import CARRIES_TOO_MUCH
from electrical.core.rules.faults import BY_STARTING_CURRENT, LARGE_BANK
from electrical.core.rules.protection import (
    BY_CURVE,
    CONTINUOUS_SHARE,
    FOR_HOURS,
    SURE_TO_OPEN,
    US_OVER_AMPACITY,
)
from electrical.core.rules.switching import SHORT_TIME
from electrical.core.sizes import ConductorSize
from electrical.core.tables import gauge
from electrical.core.tables.battery_fault import CLAUSE as BREAKING_CLAUSE
from electrical.core.tables.battery_fault import LARGE_BANK_CLAUSE
from electrical.core.tables.breaking_capacity import typical_breaking
from electrical.core.tables.constants import ADIABATIC_CLAUSE
from electrical.finding_groups import source_of
from electrical.reckoning.case import CARRIES, CURRENT, DROP, FAULT, Case, How, Ways
from electrical.working import ASSUMED_TIMES_S, NETWORK, PARTS, PRACTICE, START_ASSUMED

LARGEST = How("largest current, worst state", CURRENT)
MAY_CARRY = How("table value × factors", CARRIES)
MARKED = How("marked on the device", PARTS)
ENTERED = "as entered"


def of_size(size: ConductorSize) -> How:
    """Nominal area of a conductor."""
    if size.awg is None:
        return How(f"nominal area of {size.label}", PARTS)
    number = gauge.gauge_number(size.awg)
    return How(f"π ÷ 4 × (0.127 × 92 ^ ((36 − {number}) ÷ 39))²", source_of(gauge.CLAUSE))


def _ampacity(case: Case) -> tuple[How, How]:
    return LARGEST, MAY_CARRY


def _drop(case: Case) -> tuple[How, How]:
    return How("from source to device, worst state", DROP), How("for its kind of circuit", DROP)


def _working_voltage(case: Case) -> tuple[How, How]:
    drop, nominal_v = case.result.drop, case.circuit.nominal_v
    left = f"{nominal_v:g} − {drop.total_v:.3f}" if drop else "voltage left at the device"
    return How(left, DROP), How("least voltage the device works with", PARTS)


def _least_size(case: Case) -> tuple[How, How]:
    cable = case.circuit.cable
    here = of_size(cable.size) if cable else How("nominal area", PARTS)
    words = "in a sheath" if cable and cable.sheathed else "without a sheath"
    return here, How(f"least size {words}", case.clause)


def _engine_insulation(case: Case) -> tuple[How, How]:
    return How("insulation of the cable", PARTS), How("least in engine spaces", case.clause)


def _in_parallel(case: Case) -> tuple[How, How]:
    cable = case.circuit.cable
    here = of_size(cable.size) if cable else How("nominal area", PARTS)
    return here, How("1/0 AWG", case.clause)


def _protected(case: Case) -> tuple[How, How]:
    ahead = case.solved.tree.feeders_of(case.circuit.from_id)
    return How("sum of the devices ahead", PARTS, case.devices_of(ahead)), MAY_CARRY


def _rating(case: Case) -> tuple[How, How]:
    words = f"table value × factors; up to {US_OVER_AMPACITY:g} times that with attention"
    return MARKED, How(words, CARRIES)


def _load_on_device(case: Case) -> tuple[How, How]:
    if case.finding.basis != FOR_HOURS:
        return LARGEST, MARKED
    hours = How("what runs for hours, worst state", CURRENT)
    return hours, How(f"{CONTINUOUS_SHARE:g} × {case.device.rating_a:g}", PRACTICE)


def _motor_start(case: Case) -> tuple[How, How]:
    currents, rating_a = case.result.currents, case.device.rating_a
    if case.finding.basis != BY_CURVE or currents is None or currents.start_a is None:
        return How("one start or peak while the rest runs", CURRENT), MARKED
    is_assumed = currents.start_s in ASSUMED_TIMES_S
    lasts = How("how long the start lasts", f"{PARTS}; {START_ASSUMED}" if is_assumed else PARTS)
    times = currents.start_a / rating_a
    opens = f"shortest time in which it opens at {currents.start_a:.0f} A, {times:.1f} × its rating"
    return lasts, How(opens, case.clause)


def _locked_rotor(case: Case) -> tuple[How, How]:
    stuck = How("starting current, which a stuck rotor draws on", PARTS)
    return stuck, _sure_to_open(case)


def _sure_to_open(case: Case) -> How:
    """Below that a fuse-link need not open."""
    return How(f"{SURE_TO_OPEN:g} × {case.device.rating_a:g}", PRACTICE)


def _placement(case: Case) -> tuple[How, How]:
    cable = case.circuit.cable
    words = "in a sheath" if cable and cable.sheathed else "without a sheath"
    return How("distance from its source", ENTERED), How(f"most {words}", case.clause)


def _both_ends(case: Case) -> tuple[How, How]:
    return How("devices through which its far end is fed, as the sentence says", PARTS), MAY_CARRY


def _device_voltage(case: Case) -> tuple[How, How]:
    return MARKED, How("nominal voltage of the circuit", PARTS)


def _breaking(case: Case) -> tuple[How, How]:
    return _breaks(case), _to_be_broken(case)


def _breaks(case: Case) -> How:
    if case.device.breaking_capacity_a is not None:
        return MARKED
    typical = typical_breaking(case.device.device, system_v=case.circuit.nominal_v)
    words = f"typical of a {case.device.device.value} at {case.circuit.nominal_v:g} V"
    return How(words, source_of(typical.clause) if typical else PRACTICE)


def _to_be_broken(case: Case) -> How:
    tree, nominal_v = case.solved.tree, case.circuit.nominal_v
    if case.finding.basis == BY_STARTING_CURRENT:
        words = f"asked for with {tree.cranking_a[nominal_v]:.0f} A of starting current"
        return How(words, source_of(BREAKING_CLAUSE))
    if case.finding.basis == LARGE_BANK:
        words = f"asked for with {tree.capacity_ah.get(nominal_v, 0.0):.0f} Ah"
        return How(words, source_of(LARGE_BANK_CLAUSE))
    return How("dead short at the device", _fault_source(case))


def _fault_source(case: Case) -> str:
    """The section above tells the fault current at the start of the run."""
    return "every source that reaches its far end" if case.is_far_end else FAULT


def _withstand(case: Case) -> tuple[How, How]:
    cable, fault = case.circuit.cable, case.result.fault
    energy = None
    if fault is not None and not case.is_far_end:
        energy = let_through(case.device, fault_a=fault.at_start_a, least_a=fault.at_end_a)
    words, source = "current² × longest time to open", case.clause
    if energy is not None and energy.time_s is not None:
        words = f"{energy.current_a:.5g}² × {energy.time_s:.4g}"
        source = f"{energy.assumption}; {energy.status.value}"
    if cable is None:
        return How(words, source), How("(k × S)²", source_of(ADIABATIC_CLAUSE))
    k = adiabatic_k(cable.insulation_c, is_thermosetting=cable.is_thermosetting)
    stands = f"({k:.2f} × {area_mm2(cable.size):.4g})²"
    return How(words, source), How(stands, source_of(ADIABATIC_CLAUSE))


def _clears(case: Case) -> tuple[How, How]:
    at_end = "open-circuit voltage ÷ (sources and both conductors, hot)"
    return How(at_end, _fault_source(case)), _sure_to_open(case)


def _selective(case: Case) -> tuple[How, How]:
    near, fault = case.device, case.result.fault
    for feeder in case.solved.tree.feeders_of(case.circuit.from_id):
        far = feeder.protection
        if far is None or fault is None or feeder.id != case.finding.basis:
            continue
        found = selectivity(near, far, fault_a=fault.at_start_a)
        if found is not None:
            longest = (
                f"longest time in which its {near.rating_a:g} A device opens at {found.at_a:.0f} A"
            )
            shortest = f"shortest time of the {far.rating_a:g} A device of {feeder.label}"
            return How(longest, case.clause), How(shortest, case.clause)
    return How("longest time to open", case.clause), How("shortest time ahead", case.clause)


def _switch(case: Case) -> tuple[How, How]:
    if case.finding.basis == SHORT_TIME:
        return How("one start or peak while the rest runs", CURRENT), How(
            "rating for short times", PARTS
        )
    return LARGEST, How("rating for what it carries", PARTS)


def _way(case: Case) -> tuple[How, How]:
    carries = case.finding.basis == CARRIES_TOO_MUCH
    return LARGEST if carries else MARKED, How("what one way of the board may carry", PARTS)


def _emergency_start(case: Case) -> tuple[How, How | None]:
    solved = How(f"voltage at the engine, {case.state_words}", NETWORK)
    has_limit = case.finding.limit is not None
    return solved, How("voltage from which it starts", PARTS) if has_limit else None


OF_CIRCUITS: dict[str, Ways] = {
    "ampacity": _ampacity,
    "drop": _drop,
    "working-voltage": _working_voltage,
    "least-size": _least_size,
    "engine-insulation": _engine_insulation,
    "in-parallel": _in_parallel,
    "protected": _protected,
    "rating": _rating,
    "load-on-device": _load_on_device,
    "motor-start": _motor_start,
    "locked-rotor": _locked_rotor,
    "placement": _placement,
    "both-ends": _both_ends,
    "device-voltage": _device_voltage,
    "breaking": _breaking,
    "withstand": _withstand,
    "clears": _clears,
    "selective": _selective,
    "switch": _switch,
    "way": _way,
    "emergency-start": _emergency_start,
}
