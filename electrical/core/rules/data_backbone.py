"""Rules on the data backbone, IEC 61162-3."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from electrical.core.backbone import Backbone, BackboneMeasures, DataDevice, measure
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

__all__ = ["RULES", "BackboneRule", "check_backbone", "judge"]

_Judge = Callable[["BackboneRule", BackboneMeasures], Iterable[Finding]]


@dataclass(frozen=True, kw_only=True)
class BackboneRule:
    """One rule on the data backbone; both rule sets go by the same standard.

    Parameters
    ----------
    id, title : str
        Stable identifier and short name.
    clause : Clause
        Where it is printed, with its status.
    judge : callable
        Takes the rule and the measures, yields findings.
    module : str
        Where it is written.
    """

    id: str
    title: str
    clause: Clause
    judge: _Judge
    module: str

    @property
    def iso(self) -> Clause:
        """Where it is printed, under ISO rules."""
        return self.clause

    @property
    def us(self) -> Clause:
        """Where it is printed, under US rules."""
        return self.clause

    def says(
        self,
        subject: Subject,
        severity: Severity,
        message: str,
        *,
        value: float | None = None,
        limit: float | None = None,
        unit: str = "",
        remedies: tuple[Remedy, ...] = (),
        missing: tuple[str, ...] = (),
        clause: Clause | None = None,
    ) -> Finding:
        """Return a finding of this rule; remedies only where there is something to mend."""
        is_fine = severity in {Severity.PASS, Severity.CANNOT_TELL}
        return Finding(
            rule_id=self.id,
            title=self.title,
            severity=severity,
            subject=subject,
            message=message,
            clause=clause or self.clause,
            value=value,
            limit=limit,
            unit=unit,
            remedies=() if is_fine else remedies,
            missing=missing,
        )

    def limits(
        self,
        subject: Subject,
        words: str,
        figures: tuple[float, float, str],
        *,
        remedies: tuple[Remedy, ...] = (),
        clause: Clause | None = None,
    ) -> Finding:
        """Return a finding on a value that must not be above its limit."""
        value, limit, unit = figures
        bad = value > limit * (1.0 + 1e-9)
        suffix = f" {unit}" if unit else ""
        return self.says(
            subject,
            Severity.STOP if bad else Severity.PASS,
            f"{words} {value:.3g}{suffix}, {'more than' if bad else 'within'} {limit:g}{suffix}.",
            value=value,
            limit=limit,
            unit=unit,
            remedies=remedies,
            clause=clause,
        )


def _rule(id_: str, title: str, clause: Clause) -> Callable[[_Judge], BackboneRule]:
    """Turn a judging function into a rule."""

    def wrap(judge: _Judge) -> BackboneRule:
        return BackboneRule(
            id=id_, title=title, clause=clause, judge=judge, module=judge.__module__
        )

    return wrap


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


@_rule("data-shape", "One line with two ends", table.TERMINATORS_CLAUSE)
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


@_rule("data-length", "Length of the backbone", table.LENGTH_CLAUSE)
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


@_rule("data-drop-length", "Length of a drop", table.MAX_DROP_LENGTH_CLAUSE)
def _drop_length(rule: BackboneRule, measures: BackboneMeasures) -> Iterator[Finding]:
    """No drop is longer than 6 m."""
    for device in measures.backbone.devices:
        yield rule.limits(
            _device(device),
            f"The drop to {device.label} is",
            (device.drop_length_m, table.MAX_DROP_LENGTH_M, "m"),
            remedies=(Remedy(kind=RemedyKind.LENGTH, label="Bring the backbone nearer"),),
        )


@_rule("data-drops-together", "All drops together", table.MAX_DROPS_TOGETHER_CLAUSE)
def _drops_together(rule: BackboneRule, measures: BackboneMeasures) -> Iterator[Finding]:
    """All drops together are no longer than 78 m."""
    yield rule.limits(
        _subject(measures),
        "All drops together are",
        (measures.drops_m, table.MAX_DROPS_TOGETHER_M, "m"),
        remedies=(Remedy(kind=RemedyKind.LENGTH, label="Shorten drops"),),
    )


@_rule("data-nodes", "Number of devices", table.MAX_NODES_CLAUSE)
def _nodes(rule: BackboneRule, measures: BackboneMeasures) -> Iterator[Finding]:
    """No more than 50 devices hang on one backbone."""
    count = float(len(measures.backbone.devices))
    figures = (count, float(table.MAX_NODES), "")
    yield rule.limits(_subject(measures), "Devices on the backbone:", figures)


@_rule("data-terminators", "A terminator at each end", table.TERMINATORS_CLAUSE)
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


@_rule("data-supply", "One supply point", table.SUPPLIES_CLAUSE)
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


@_rule("data-shield", "Shield grounded once", table.SHIELD_CLAUSE)
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


@_rule("data-device-current", "Current of one device", table.MAX_DEVICE_CLAUSE)
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


@_rule("data-current", "Current in the backbone", table.CURRENT_CLAUSE)
def _current(rule: BackboneRule, measures: BackboneMeasures) -> Iterator[Finding]:
    """No segment carries more than its grade of cable allows."""
    for segment in measures.segments:
        if segment.current_a is None:
            continue
        data = table.GRADES[segment.segment.cable.grade]
        name = segment.segment.segment_id
        yield rule.limits(
            Subject(kind=SubjectKind.PART, id=name, label=name),
            f"{name} carries",
            (segment.current_a, data.max_current_a, "A"),
            remedies=(_FEED_MIDDLE, _HEAVIER),
            clause=data.current_clause,
        )


@_rule("data-voltage", "Voltage drop on the backbone", table.MAX_DROP_CLAUSE)
def _voltage(rule: BackboneRule, measures: BackboneMeasures) -> Iterator[Finding]:
    """No device gets 1.5 V less than the supply gives."""
    subject = _subject(measures)
    if measures.collapse is not None:
        yield rule.says(subject, Severity.STOP, measures.collapse)
        return
    if measures.worst_drop_v is None:
        return
    figures = (measures.worst_drop_v, table.MAX_DROP_V, "V")
    words = "The largest drop to a device is"
    worst = rule.limits(subject, words, figures, remedies=(_FEED_MIDDLE, _HEAVIER))
    if not measures.unknown_loads or worst.severity is Severity.STOP:
        yield worst
        return
    yield rule.says(
        subject,
        Severity.CANNOT_TELL,
        f"{worst.message[:-1]}, without {', '.join(measures.unknown_loads)}.",
        value=worst.value,
        limit=worst.limit,
        unit="V",
        missing=tuple(f"load units of {label}" for label in measures.unknown_loads),
    )


@_rule("data-window", "Supply window", table.SUPPLY_WINDOW_CLAUSE)
def _window(rule: BackboneRule, measures: BackboneMeasures) -> Iterator[Finding]:
    """Every device gets between 9 V and 16 V."""
    for device in measures.devices:
        if device.voltage_v is None:
            continue
        bad = not table.MIN_SUPPLY_V <= device.voltage_v <= table.MAX_SUPPLY_V
        yield rule.says(
            _device(device.device),
            Severity.STOP if bad else Severity.PASS,
            f"{device.device.label} gets {device.voltage_v:.1f} V, "
            f"{'outside' if bad else 'within'} 9 V to 16 V.",
            value=device.voltage_v,
            limit=table.MIN_SUPPLY_V,
            unit="V",
        )


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
