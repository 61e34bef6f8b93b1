"""Rules about solar panels and the regulator they feed."""

from collections.abc import Iterator

from catalogue.models import RegulatorData, SolarPanelData
from electrical.core.errors import OutOfTable
from electrical.core.findings import Finding, Remedy, RemedyKind, Severity, Subject, SubjectKind
from electrical.core.status import Clause, SourceStatus
from electrical.core.tables import voc_cold
from electrical.facts import Facts, record_of
from electrical.models import Circuit

RULE_ID, TITLE = "cold-string", "Panel voltage on the coldest morning"
STANDARD_C = 25.0
OWN_COEFFICIENT = Clause(
    source="coefficient of the panel's maker", clause="", status=SourceStatus.SECOND_HAND
)


def cold_strings(facts: Facts) -> Iterator[Finding]:
    """Each panel on its own lead against the largest input of its regulator."""
    for circuit in facts.circuits:
        end = facts.far_point(circuit)
        panel = record_of(facts.origin_of(circuit))
        regulator = record_of(end) if end is not None else None
        if isinstance(panel, SolarPanelData) and isinstance(regulator, RegulatorData):
            yield _judged(facts, circuit, panel, regulator)


def _judged(
    facts: Facts, circuit: Circuit, panel: SolarPanelData, regulator: RegulatorData
) -> Finding:
    lowest_c = facts.home_port.lowest_c if facts.home_port else None
    subject = Subject(kind=SubjectKind.CIRCUIT, id=str(circuit.pk), label=circuit.label)
    if lowest_c is None:
        return _cannot_tell(subject, "lowest temperature at the home port", voc_cold.CLAUSE)
    try:
        factor, clause = cold_factor(panel, float(lowest_c))
    except OutOfTable:
        return _cannot_tell(subject, "temperature coefficient of the panel", voc_cold.CLAUSE)
    volts, limit = float(panel.voc_v) * factor, float(regulator.max_input_v)
    is_over = volts > limit
    return Finding(
        rule_id=RULE_ID,
        title=TITLE,
        severity=Severity.STOP if is_over else Severity.PASS,
        subject=subject,
        message=f"The panel on {circuit.label} gives up to {volts:.1f} V at {lowest_c} °C; its "
        f"regulator stands {limit:g} V.",
        clause=clause,
        value=volts,
        limit=limit,
        unit="V",
        remedies=(Remedy(kind=RemedyKind.PART, label="Use a regulator for more volts"),)
        if is_over
        else (),
    )


def cold_factor(panel: SolarPanelData, lowest_c: float) -> tuple[float, Clause]:
    """Open-circuit voltage at the lowest temperature over that at 25 °C."""
    if panel.voc_coefficient_pct_per_c is None:
        return voc_cold.cold_factor(lowest_c), voc_cold.CLAUSE
    per_c = float(panel.voc_coefficient_pct_per_c) / 100.0
    return 1.0 + per_c * (lowest_c - STANDARD_C), OWN_COEFFICIENT


def _cannot_tell(subject: Subject, missing: str, clause: Clause) -> Finding:
    return Finding(
        rule_id=RULE_ID,
        title=TITLE,
        severity=Severity.CANNOT_TELL,
        subject=subject,
        message=f"{subject.label}: cannot tell without the {missing}.",
        clause=clause,
        missing=(missing,),
    )
