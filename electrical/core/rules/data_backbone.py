"""Rules on the data backbone, IEC 61162-3."""

from collections.abc import Iterator

from electrical.core.backbone import Backbone, BackboneMeasures, measure
from electrical.core.findings import (
    Finding,
    Remedy,
    RemedyKind,
    Severity,
    Subject,
    SubjectKind,
)
from electrical.core.status import Clause
from electrical.core.tables import data_backbone as table

__all__ = ["check_backbone", "judge"]


def check_backbone(backbone: Backbone) -> tuple[BackboneMeasures, tuple[Finding, ...]]:
    """Compute a backbone and judge it.

    Parameters
    ----------
    backbone : Backbone
        The backbone.

    Returns
    -------
    tuple of (BackboneMeasures, tuple of Finding)
        What was computed, and one finding per rule and subject, passes included.
    """
    measures = measure(backbone)
    return measures, judge(measures)


def judge(measures: BackboneMeasures) -> tuple[Finding, ...]:
    """Compare a computed backbone with the limits.

    Parameters
    ----------
    measures : BackboneMeasures
        From :func:`electrical.core.backbone.measure`.

    Returns
    -------
    tuple of Finding
        One per rule and subject, passes included.
    """
    rules = (_shape, _length, _drops, _nodes, _terminators, _supplies, _shield, _loads, _currents)
    found = [finding for rule in rules for finding in rule(measures)]
    return (*found, *_voltages(measures))


def _subject(measures: BackboneMeasures) -> Subject:
    label = measures.backbone.label
    return Subject(kind=SubjectKind.DESIGN, id=label, label=label)


def _limit(
    measures: BackboneMeasures,
    rule: tuple[str, str, Clause],
    words: str,
    figures: tuple[float, float, str],
    *,
    subject: Subject | None = None,
    remedies: tuple[Remedy, ...] = (),
) -> Finding:
    """One value that must not be above its limit."""
    value, limit, unit = figures
    bad = value > limit * (1.0 + 1e-9)
    suffix = f" {unit}" if unit else ""
    verdict = "more than" if bad else "within"
    return Finding(
        rule_id=rule[0],
        title=rule[1],
        severity=Severity.STOP if bad else Severity.PASS,
        subject=subject or _subject(measures),
        message=f"{words} {value:.3g}{suffix}, {verdict} {limit:g}{suffix}.",
        clause=rule[2],
        value=value,
        limit=limit,
        unit=unit,
        remedies=remedies if bad else (),
    )


def _shape(measures: BackboneMeasures) -> Iterator[Finding]:
    bad = measures.shape_fault is not None
    message = f"The backbone is not one line: {measures.shape_fault}."
    yield Finding(
        rule_id="data-shape",
        title="One line with two ends",
        severity=Severity.STOP if bad else Severity.PASS,
        subject=_subject(measures),
        message=message if bad else "The backbone is one line with two ends.",
        clause=table.TERMINATORS_CLAUSE,
        remedies=(Remedy(kind=RemedyKind.MOVE, label="Make it one line with drops"),)
        if bad
        else (),
    )


def _length(measures: BackboneMeasures) -> Iterator[Finding]:
    grades = {segment.cable.grade for segment in measures.backbone.segments}
    if not grades:
        return
    data = min((table.GRADES[grade] for grade in grades), key=lambda d: d.max_length_m)
    yield _limit(
        measures,
        ("data-length", "Length of the backbone", data.length_clause),
        "The backbone is",
        (measures.length_m, data.max_length_m, "m"),
        remedies=(Remedy(kind=RemedyKind.CABLE, label="Use mid or heavy cable throughout"),),
    )


def _drops(measures: BackboneMeasures) -> Iterator[Finding]:
    for device in measures.backbone.devices:
        yield _limit(
            measures,
            ("data-drop-length", "Length of a drop", table.MAX_DROP_LENGTH_CLAUSE),
            f"The drop to {device.label} is",
            (device.drop_length_m, table.MAX_DROP_LENGTH_M, "m"),
            subject=Subject(kind=SubjectKind.PART, id=device.device_id, label=device.label),
            remedies=(Remedy(kind=RemedyKind.LENGTH, label="Bring the backbone nearer"),),
        )
    yield _limit(
        measures,
        ("data-drops-together", "All drops together", table.MAX_DROPS_TOGETHER_CLAUSE),
        "All drops together are",
        (measures.drops_m, table.MAX_DROPS_TOGETHER_M, "m"),
        remedies=(Remedy(kind=RemedyKind.LENGTH, label="Shorten drops"),),
    )


def _nodes(measures: BackboneMeasures) -> Iterator[Finding]:
    yield _limit(
        measures,
        ("data-nodes", "Number of devices", table.MAX_NODES_CLAUSE),
        "Devices on the backbone:",
        (float(len(measures.backbone.devices)), float(table.MAX_NODES), ""),
    )


def _terminators(measures: BackboneMeasures) -> Iterator[Finding]:
    at = sorted(measures.backbone.terminator_points)
    bad = at != sorted(measures.ends) or measures.shape_fault is not None
    where = ", ".join(at) if at else "nowhere"
    yield Finding(
        rule_id="data-terminators",
        title="A terminator at each end",
        severity=Severity.STOP if bad else Severity.PASS,
        subject=_subject(measures),
        message=f"Terminators at {where}; needed at {', '.join(measures.ends) or 'two ends'} only.",
        clause=table.TERMINATORS_CLAUSE,
        value=float(len(at)),
        limit=float(table.TERMINATORS),
        remedies=(Remedy(kind=RemedyKind.PART, label="Fit one terminator at each end"),)
        if bad
        else (),
    )


def _supplies(measures: BackboneMeasures) -> Iterator[Finding]:
    count = len(measures.backbone.supplies)
    severity = Severity.STOP if count == 0 else Severity.PASS
    message = "Power enters at one point."
    if count == 0:
        message = "No supply feeds the backbone."
    elif count > table.SUPPLIES:
        severity = Severity.ATTENTION
        message = (
            f"{count} supplies feed one backbone; part it so that each feeds its own part, "
            "or leave one."
        )
    yield Finding(
        rule_id="data-supply",
        title="One supply point",
        severity=severity,
        subject=_subject(measures),
        message=message,
        clause=table.SUPPLIES_CLAUSE,
        value=float(count),
        limit=float(table.SUPPLIES),
    )


def _shield(measures: BackboneMeasures) -> Iterator[Finding]:
    grounds = measures.backbone.shield_grounds
    missing: tuple[str, ...] = ()
    if grounds is None:
        severity, missing = Severity.CANNOT_TELL, ("where the shield is grounded",)
        message = "Where the shield is grounded is not known."
    else:
        severity = Severity.PASS if grounds == table.SHIELD_GROUNDS else Severity.ATTENTION
        message = f"The shield is grounded at {grounds} points; one is right."
    yield Finding(
        rule_id="data-shield",
        title="Shield grounded once",
        severity=severity,
        subject=_subject(measures),
        message=message,
        clause=table.SHIELD_CLAUSE,
        value=None if grounds is None else float(grounds),
        limit=float(table.SHIELD_GROUNDS),
        missing=missing,
    )


def _loads(measures: BackboneMeasures) -> Iterator[Finding]:
    for device in measures.backbone.devices:
        subject = Subject(kind=SubjectKind.PART, id=device.device_id, label=device.label)
        rule = ("data-device-current", "Current of one device", table.MAX_DEVICE_CLAUSE)
        if device.load_units is None:
            yield Finding(
                rule_id=rule[0],
                title=rule[1],
                severity=Severity.CANNOT_TELL,
                subject=subject,
                message=f"The load units of {device.label} are not known.",
                clause=rule[2],
                missing=("load units",),
            )
            continue
        yield _limit(
            measures,
            rule,
            f"{device.label} takes",
            (device.current_a, table.MAX_DEVICE_A, "A"),
            subject=subject,
            remedies=(Remedy(kind=RemedyKind.PART, label="Feed it from a circuit of its own"),),
        )


def _currents(measures: BackboneMeasures) -> Iterator[Finding]:
    for segment in measures.segments:
        if segment.current_a is None:
            continue
        data = table.GRADES[segment.segment.cable.grade]
        name = segment.segment.segment_id
        yield _limit(
            measures,
            ("data-current", "Current in the backbone", data.current_clause),
            f"{name} carries",
            (segment.current_a, data.max_current_a, "A"),
            subject=Subject(kind=SubjectKind.PART, id=name, label=name),
            remedies=(
                Remedy(kind=RemedyKind.MOVE, label="Feed the backbone at its middle"),
                Remedy(kind=RemedyKind.CABLE, label="Use heavier cable"),
            ),
        )


def _voltages(measures: BackboneMeasures) -> Iterator[Finding]:
    rule = ("data-voltage", "Voltage at the far end", table.MAX_DROP_CLAUSE)
    if measures.collapse is not None:
        yield Finding(
            rule_id=rule[0],
            title=rule[1],
            severity=Severity.STOP,
            subject=_subject(measures),
            message=measures.collapse,
            clause=rule[2],
        )
        return
    if measures.worst_drop_v is None:
        return
    remedies = (
        Remedy(kind=RemedyKind.MOVE, label="Feed the backbone at its middle"),
        Remedy(kind=RemedyKind.CABLE, label="Use heavier cable"),
    )
    figures = (measures.worst_drop_v, table.MAX_DROP_V, "V")
    worst = _limit(measures, rule, "The largest drop to a device is", figures, remedies=remedies)
    if measures.unknown_loads and worst.severity is Severity.PASS:
        yield Finding(
            rule_id=rule[0],
            title=rule[1],
            severity=Severity.CANNOT_TELL,
            subject=worst.subject,
            message=f"{worst.message[:-1]}, without {', '.join(measures.unknown_loads)}.",
            clause=rule[2],
            value=worst.value,
            limit=worst.limit,
            unit="V",
            missing=tuple(f"load units of {label}" for label in measures.unknown_loads),
        )
    else:
        yield worst
    yield from _windows(measures)


def _windows(measures: BackboneMeasures) -> Iterator[Finding]:
    for device in measures.devices:
        if device.voltage_v is None:
            continue
        bad = not table.MIN_SUPPLY_V <= device.voltage_v <= table.MAX_SUPPLY_V
        label = device.device.label
        yield Finding(
            rule_id="data-window",
            title="Supply window",
            severity=Severity.STOP if bad else Severity.PASS,
            subject=Subject(kind=SubjectKind.PART, id=device.device.device_id, label=label),
            message=f"{label} gets {device.voltage_v:.1f} V, "
            f"{'outside' if bad else 'within'} 9 V to 16 V.",
            clause=table.SUPPLY_WINDOW_CLAUSE,
            value=device.voltage_v,
            limit=table.MIN_SUPPLY_V,
            unit="V",
        )
