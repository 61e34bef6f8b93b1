"""Rules about solar panels and the regulator they feed."""

from collections.abc import Iterator

from catalogue.models import PartKind, RegulatorData, SolarPanelData
from electrical.adapters.numbers import number
from electrical.adapters.points import in_series
from electrical.core.energy.solar import Panels, Regulator, cold_string
from electrical.core.errors import BadInput, OutOfTable
from electrical.core.findings import Finding, Remedy, RemedyKind, Severity, Subject, SubjectKind
from electrical.core.status import NO_SOURCE, Clause, SourceStatus
from electrical.core.tables import voc_cold
from electrical.facts import Facts, record_of
from electrical.models import Circuit, Device

RULE_ID, TITLE = "cold-string", "Panel voltage on the coldest morning"
INPUT_ID, INPUT_TITLE = "regulator-input", "Panel current into the regulator"
#: Best cells in full sun, rounded up. Common practice, no source.
MOST_W_M2 = 250
MAKER = Clause(source="maker's data in the catalogue", clause="", status=SourceStatus.SECOND_HAND)
OWN_COEFFICIENT = Clause(
    source="coefficient of the panel's maker", clause="", status=SourceStatus.SECOND_HAND
)


def cold_strings(facts: Facts) -> Iterator[Finding]:
    """Each string on its lead against the largest input of its regulator."""
    for circuit in facts.circuits:
        end = facts.far_point(circuit)
        panel = record_of(facts.origin_of(circuit))
        regulator = record_of(end) if end is not None else None
        if isinstance(panel, SolarPanelData) and isinstance(regulator, RegulatorData):
            yield _judged(facts, circuit, panel, regulator)


def regulator_inputs(facts: Facts) -> Iterator[Finding]:
    """All panels of a regulator, each on its own lead, against the most it may be given."""
    for regulator in facts.of_kind(PartKind.REGULATOR):
        record = record_of(regulator)
        panels = [
            panel
            for circuit in facts.fed_by.get(regulator.pk, ())
            if isinstance(panel := record_of(facts.origin_of(circuit)), SolarPanelData)
        ]
        if isinstance(record, RegulatorData) and panels:
            yield _input_judged(regulator, record, sum(float(panel.isc_a) for panel in panels))


def areas(facts: Facts) -> Iterator[Finding]:
    """More power than a square metre can give is a slip of the pen in the catalogue."""
    for panel in facts.of_kind(PartKind.SOLAR_PANEL):
        record = record_of(panel)
        density = record.density_w_m2 if isinstance(record, SolarPanelData) else None
        if density is None or density <= MOST_W_M2:
            continue
        name = f"{panel.label} {panel.name}"
        yield Finding(
            rule_id="panel-area",
            title="Power of a panel against its area",
            severity=Severity.ATTENTION,
            subject=Subject(kind=SubjectKind.SOURCE, id=str(panel.pk), label=name),
            message=f"{name} would give {density:.0f} W from a square metre; no panel gives more "
            f"than {MOST_W_M2} W. Put its power or its area right in the catalogue.",
            clause=NO_SOURCE,
            value=float(density),
            limit=float(MOST_W_M2),
            unit="W/m²",
        )


def _input_judged(regulator: Device, record: RegulatorData, current_a: float) -> Finding:
    name = f"{regulator.label} {regulator.name}"
    subject = Subject(kind=SubjectKind.SOURCE, id=str(regulator.pk), label=name)
    if record.max_input_a is None:
        missing = "largest input current of the regulator"
        return _cannot_tell(subject, missing, MAKER, rule_id=INPUT_ID, title=INPUT_TITLE)
    limit_a = float(record.max_input_a)
    is_over = current_a > limit_a
    return Finding(
        rule_id=INPUT_ID,
        title=INPUT_TITLE,
        severity=Severity.STOP if is_over else Severity.PASS,
        subject=subject,
        message=f"The panels give {name} up to {current_a:.1f} A in a short; it stands "
        f"{limit_a:g} A.",
        clause=MAKER,
        value=current_a,
        limit=limit_a,
        unit="A",
        remedies=(Remedy(kind=RemedyKind.PART, label="Use a regulator for more current"),)
        if is_over
        else (),
    )


def _judged(
    facts: Facts, circuit: Circuit, panel: SolarPanelData, regulator: RegulatorData
) -> Finding:
    lowest_c = facts.home_port.lowest_c if facts.home_port else None
    subject = Subject(kind=SubjectKind.CIRCUIT, id=str(circuit.pk), label=circuit.label)
    if lowest_c is None:
        return _cannot_tell(subject, "lowest temperature at the home port", voc_cold.CLAUSE)
    try:
        count = in_series(facts, facts.origin_of(circuit))
        panels = panels_of(circuit.label, panel, count)
        cold = cold_string(panels, _regulator(regulator), lowest_c=float(lowest_c))
    except OutOfTable:
        return _cannot_tell(subject, "temperature coefficient of the panel", voc_cold.CLAUSE)
    except BadInput as refused:
        return _cannot_tell(subject, f"right figure: {refused}", voc_cold.CLAUSE)
    if cold is None:
        return _cannot_tell(subject, "open-circuit voltage of the panel", voc_cold.CLAUSE)
    volts, limit = cold.string_v, float(regulator.max_input_v)
    is_over = not cold.is_within
    return Finding(
        rule_id=RULE_ID,
        title=TITLE,
        severity=Severity.STOP if is_over else Severity.PASS,
        subject=subject,
        message=f"{_string_words(circuit.label, count)} up to {volts:.1f} V at {lowest_c} °C; "
        f"its regulator stands {limit:g} V.",
        clause=OWN_COEFFICIENT if panel.voc_coefficient_pct_per_c is not None else voc_cold.CLAUSE,
        value=volts,
        limit=limit,
        unit="V",
        remedies=(Remedy(kind=RemedyKind.PART, label="Use a regulator for more volts"),)
        if is_over
        else (),
    )


def _string_words(label: str, count: int) -> str:
    if count == 1:
        return f"The panel on {label} gives"
    return f"The string of {count} panels on {label} gives"


def panels_of(label: str, panel: SolarPanelData, in_series: int) -> Panels:
    """One string as the core takes it."""
    per_c = panel.voc_coefficient_pct_per_c
    return Panels(
        label=label,
        peak_w=float(panel.rated_w),
        count=in_series,
        in_series=in_series,
        open_circuit_v=float(panel.voc_v),
        max_power_v=number(panel.vmp_v),
        voltage_coefficient_per_c=None if per_c is None else float(per_c) / 100.0,
    )


def _regulator(regulator: RegulatorData) -> Regulator:
    return Regulator(label="regulator", max_input_v=float(regulator.max_input_v))


def _cannot_tell(
    subject: Subject,
    missing: str,
    clause: Clause,
    *,
    rule_id: str = RULE_ID,
    title: str = TITLE,
) -> Finding:
    return Finding(
        rule_id=rule_id,
        title=title,
        severity=Severity.CANNOT_TELL,
        subject=subject,
        message=f"{subject.label}: cannot tell without the {missing}.",
        clause=clause,
        missing=(missing,),
    )
