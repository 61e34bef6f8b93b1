"""Rules on the data backbone, IEC 61162-3."""

from collections.abc import Iterator

from electrical.core.backbone import Backbone, BackboneMeasures, DataDevice, measure
from electrical.core.findings import (
    Finding,
    Remedy,
    RemedyKind,
    Severity,
    Subject,
    SubjectKind,
)
from electrical.core.rules.backbone_rule import BackboneRule, backbone_rule, figure
from electrical.core.tables import data_backbone as table

__all__ = ["RULES", "BackboneRule", "check_backbone", "judge"]


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
    return tuple(finding for rule in RULES for finding in rule.judge(rule, measures))


def _subject(measures: BackboneMeasures) -> Subject:
    label = measures.backbone.label
    return Subject(kind=SubjectKind.DESIGN, id=label, label=label)


def _device(device: DataDevice) -> Subject:
    return Subject(kind=SubjectKind.PART, id=device.device_id, label=device.label)


_FEED_MIDDLE = Remedy(kind=RemedyKind.MOVE, label="Feed the backbone at its middle")
_HEAVIER = Remedy(kind=RemedyKind.CABLE, label="Use heavier cable")


@backbone_rule("data-shape", "One line with two ends", table.TERMINATORS_CLAUSE)
def _shape(rule: BackboneRule, measures: BackboneMeasures) -> Iterator[Finding]:
    """The backbone is one line, not a star or a ring."""
    bad = measures.shape_fault is not None
    yield rule.says(
        _subject(measures),
        Severity.STOP if bad else Severity.PASS,
        f"The backbone is not one line: {measures.shape_fault}."
        if bad
        else "The backbone is one line with two ends.",
        remedies=(Remedy(kind=RemedyKind.MOVE, label="Make it one line with drops"),),
    )


@backbone_rule("data-length", "Length of the backbone", table.LENGTH_CLAUSE)
def _length(rule: BackboneRule, measures: BackboneMeasures) -> Iterator[Finding]:
    """The line is no longer than its weakest grade of cable allows."""
    grades = {segment.cable.grade for segment in measures.backbone.segments}
    if not grades:
        return
    data = min((table.GRADES[grade] for grade in grades), key=lambda d: d.max_length_m)
    yield rule.limits(
        _subject(measures),
        "The backbone is",
        (measures.length_m, data.max_length_m, "m"),
        remedies=(Remedy(kind=RemedyKind.CABLE, label="Use mid or heavy cable throughout"),),
        clause=data.length_clause,
    )


@backbone_rule("data-drop-length", "Length of a drop", table.MAX_DROP_LENGTH_CLAUSE)
def _drop_length(rule: BackboneRule, measures: BackboneMeasures) -> Iterator[Finding]:
    """No drop is longer than 6 m."""
    for device in measures.backbone.devices:
        yield rule.limits(
            _device(device),
            f"The drop to {device.label} is",
            (device.drop_length_m, table.MAX_DROP_LENGTH_M, "m"),
            remedies=(Remedy(kind=RemedyKind.LENGTH, label="Bring the backbone nearer"),),
        )


@backbone_rule("data-drops-together", "All drops together", table.MAX_DROPS_TOGETHER_CLAUSE)
def _drops_together(rule: BackboneRule, measures: BackboneMeasures) -> Iterator[Finding]:
    """All drops together are no longer than 78 m."""
    yield rule.limits(
        _subject(measures),
        "All drops together are",
        (measures.drops_m, table.MAX_DROPS_TOGETHER_M, "m"),
        remedies=(Remedy(kind=RemedyKind.LENGTH, label="Shorten drops"),),
    )


@backbone_rule("data-nodes", "Number of devices", table.MAX_NODES_CLAUSE)
def _nodes(rule: BackboneRule, measures: BackboneMeasures) -> Iterator[Finding]:
    """No more than 50 devices hang on one backbone."""
    count = float(len(measures.backbone.devices))
    figures = (count, float(table.MAX_NODES), "")
    yield rule.limits(_subject(measures), "Devices on the backbone:", figures)


@backbone_rule("data-terminators", "A terminator at each end", table.TERMINATORS_CLAUSE)
def _terminators(rule: BackboneRule, measures: BackboneMeasures) -> Iterator[Finding]:
    """One terminator sits at each end of the line and none elsewhere."""
    at = sorted(measures.backbone.terminator_points)
    bad = at != sorted(measures.ends) or measures.shape_fault is not None
    where = ", ".join(at) if at else "nowhere"
    yield rule.says(
        _subject(measures),
        Severity.STOP if bad else Severity.PASS,
        f"Terminators at {where}; needed at {', '.join(measures.ends) or 'two ends'} only.",
        value=float(len(at)),
        limit=float(table.TERMINATORS),
        remedies=(Remedy(kind=RemedyKind.PART, label="Fit one terminator at each end"),),
    )


@backbone_rule("data-supply", "One supply point", table.SUPPLIES_CLAUSE)
def _supplies(rule: BackboneRule, measures: BackboneMeasures) -> Iterator[Finding]:
    """Power enters at one point of each separately powered part."""
    count = len(measures.backbone.supplies)
    severity, message = Severity.PASS, "Power enters at one point."
    if count == 0:
        severity, message = Severity.STOP, "No supply feeds the backbone."
    elif count > table.SUPPLIES:
        severity = Severity.ATTENTION
        message = (
            f"{count} supplies feed one backbone; part it so that each feeds its own part, "
            "or leave one."
        )
    limit = float(table.SUPPLIES)
    yield rule.says(_subject(measures), severity, message, value=float(count), limit=limit)


@backbone_rule("data-shield", "Shield grounded once", table.SHIELD_CLAUSE)
def _shield(rule: BackboneRule, measures: BackboneMeasures) -> Iterator[Finding]:
    """The shield is grounded at one point only."""
    grounds = measures.backbone.shield_grounds
    if grounds is None:
        yield rule.says(
            _subject(measures),
            Severity.CANNOT_TELL,
            "Where the shield is grounded is not known.",
            missing=("where the shield is grounded",),
        )
        return
    yield rule.says(
        _subject(measures),
        Severity.PASS if grounds == table.SHIELD_GROUNDS else Severity.ATTENTION,
        f"The shield is grounded at {grounds} points; one is right.",
        value=float(grounds),
        limit=float(table.SHIELD_GROUNDS),
    )


@backbone_rule("data-device-current", "Current of one device", table.MAX_DEVICE_CLAUSE)
def _device_current(rule: BackboneRule, measures: BackboneMeasures) -> Iterator[Finding]:
    """No device takes more than 1 A from the backbone."""
    for device in measures.backbone.devices:
        if device.load_units is None:
            yield rule.says(
                _device(device),
                Severity.CANNOT_TELL,
                f"The load units of {device.label} are not known.",
                missing=("load units",),
            )
            continue
        yield rule.limits(
            _device(device),
            f"{device.label} takes",
            (device.current_a, table.MAX_DEVICE_A, "A"),
            remedies=(Remedy(kind=RemedyKind.PART, label="Feed it from a circuit of its own"),),
        )


@backbone_rule("data-current", "Current in the backbone", table.CURRENT_CLAUSE)
def _current(rule: BackboneRule, measures: BackboneMeasures) -> Iterator[Finding]:
    """No segment carries more than its grade of cable allows."""
    for segment in measures.segments:
        if segment.current_a is None:
            continue
        data = table.GRADES[segment.segment.cable.grade]
        name = segment.segment.segment_id
        found = rule.limits(
            Subject(kind=SubjectKind.PART, id=name, label=name),
            f"{name} carries",
            (segment.current_a, data.max_current_a, "A"),
            remedies=(_FEED_MIDDLE, _HEAVIER),
            clause=data.current_clause,
        )
        yield _as_far_as_known(found, segment.unknown_loads)
    yield from _how_it_divides(rule, measures)


@backbone_rule("data-voltage", "Voltage drop on the backbone", table.MAX_DROP_CLAUSE)
def _voltage(rule: BackboneRule, measures: BackboneMeasures) -> Iterator[Finding]:
    """No device gets 1.5 V less than the supply gives."""
    subject = _subject(measures)
    if measures.collapse is not None:
        yield rule.says(subject, Severity.STOP, measures.collapse)
        return
    if measures.backbone.supplies and measures.unfed:
        message = f"No supply reaches {', '.join(measures.unfed)}."
        yield rule.says(subject, Severity.STOP, message)
    yield from _how_it_divides(rule, measures)
    if measures.worst_drop_v is None:
        return
    figures = (measures.worst_drop_v, table.MAX_DROP_V, "V")
    words = "The largest drop to a device is"
    worst = rule.limits(subject, words, figures, remedies=(_FEED_MIDDLE, _HEAVIER))
    yield _as_far_as_known(worst, measures.unknown_loads)


def _as_far_as_known(found: Finding, unknown_loads: tuple[str, ...]) -> Finding:
    """More load can only make it worse: what passes without some of it is not a pass."""
    if not unknown_loads or found.severity is not Severity.PASS:
        return found
    return found._replace(
        severity=Severity.CANNOT_TELL,
        message=f"{found.message[:-1]}, without {', '.join(unknown_loads)}.",
        missing=tuple(f"load units of {label}" for label in unknown_loads),
    )


def _how_it_divides(rule: BackboneRule, measures: BackboneMeasures) -> Iterator[Finding]:
    if len(measures.backbone.supplies) > 1 and measures.unknown_supplies:
        yield _supply_unknown(rule, measures, "how the current divides between the supplies")


def _supply_unknown(rule: BackboneRule, measures: BackboneMeasures, what: str) -> Finding:
    names = ", ".join(measures.unknown_supplies)
    return rule.says(
        _subject(measures),
        Severity.CANNOT_TELL,
        f"The voltage of supply {names} is not known, nor so {what}.",
        missing=tuple(f"voltage of supply {name}" for name in measures.unknown_supplies),
    )


@backbone_rule("data-window", "Supply window", table.SUPPLY_WINDOW_CLAUSE)
def _window(rule: BackboneRule, measures: BackboneMeasures) -> Iterator[Finding]:
    """Every device gets between 9 V and 16 V."""
    if measures.unknown_supplies and measures.devices:
        yield _supply_unknown(rule, measures, "the voltage at each device")
    for device in measures.devices:
        if device.voltage_v is None:
            continue
        low, high = table.MIN_SUPPLY_V, table.MAX_SUPPLY_V
        bad = not low <= device.voltage_v <= high
        limit = high if device.voltage_v > high else low
        found = rule.says(
            _device(device.device),
            Severity.STOP if bad else Severity.PASS,
            f"{device.device.label} gets {_volts(device.voltage_v, limit)} V, "
            f"{'outside' if bad else 'within'} {low:g} V to {high:g} V.",
            value=device.voltage_v,
            limit=limit,
            unit="V",
        )
        yield _as_far_as_known(found, measures.unknown_loads)


def _volts(value: float, limit: float) -> str:
    text = f"{value:.1f}"
    return figure(value, limit) if float(text) == limit else text


RULES: tuple[BackboneRule, ...] = (
    _shape,
    _length,
    _drop_length,
    _drops_together,
    _nodes,
    _terminators,
    _supplies,
    _shield,
    _device_current,
    _current,
    _voltage,
    _window,
)
