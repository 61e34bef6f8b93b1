"""What a rule on the data backbone is, and how it words its findings."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from electrical.core.backbone import BackboneMeasures
from electrical.core.findings import Finding, Remedy, Severity, Subject
from electrical.core.status import Clause

__all__ = ["BackboneRule", "backbone_rule", "figure"]

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
            f"{words} {figure(value, limit)}{suffix}, {'more than' if bad else 'within'} "
            f"{limit:g}{suffix}.",
            value=value,
            limit=limit,
            unit=unit,
            remedies=remedies,
            clause=clause,
        )


def figure(value: float, limit: float) -> str:
    """Return a value in words.

    Parameters
    ----------
    value, limit : float
        The value and its limit [same unit].

    Returns
    -------
    str
        Three figures, or as many as tell it from its limit.
    """
    texts = (f"{value:.{digits}g}" for digits in range(3, 10))
    return next((text for text in texts if text != f"{limit:g}"), f"{value:.3g}")


def backbone_rule(id_: str, title: str, clause: Clause) -> Callable[[_Judge], BackboneRule]:
    """Turn a judging function into a rule.

    Parameters
    ----------
    id_, title : str
        Stable identifier and short name.
    clause : Clause
        Where it is printed, with its status.

    Returns
    -------
    callable
        What makes the rule of the function.
    """

    def wrap(judge: _Judge) -> BackboneRule:
        return BackboneRule(
            id=id_, title=title, clause=clause, judge=judge, module=judge.__module__
        )

    return wrap
