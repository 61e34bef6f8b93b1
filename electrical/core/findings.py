"""Findings: what a rule says about one part of a design."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import NamedTuple

from electrical.core.status import Clause


class RuleSet(StrEnum):
    """Which family of published rules decides."""

    ISO = "iso"
    US = "us"

    __hash__ = str.__hash__  # looked up often; an Enum would hash its name in Python

    @property
    def label(self) -> str:
        """Name shown to people."""
        return "ISO (mm²)" if self is RuleSet.ISO else "US (AWG)"


class Severity(StrEnum):
    """Outcome of one rule. `PASS` is kept as a result and is not a finding to act on."""

    STOP = "stop"
    ATTENTION = "attention"
    NOTE = "note"
    CANNOT_TELL = "cannot tell"
    PASS = "pass"  # noqa: S105 - a verdict, not a secret

    @property
    def rank(self) -> int:
        """Order for lists: 0 is worst."""
        order = (
            Severity.STOP,
            Severity.CANNOT_TELL,
            Severity.ATTENTION,
            Severity.NOTE,
            Severity.PASS,
        )
        return order.index(self)


class SubjectKind(StrEnum):
    """What a finding is about."""

    CIRCUIT = "circuit"
    BOARD = "board"
    SOURCE = "source"
    CONVERTER = "converter"
    LINK = "parallel link"
    PART = "part"
    DESIGN = "design"


class Subject(NamedTuple):
    """The thing judged.

    Parameters
    ----------
    kind : SubjectKind
        What it is.
    id : str
        The identifier the caller gave it.
    label : str
        The name people know it by.
    """

    kind: SubjectKind
    id: str
    label: str


class RemedyKind(StrEnum):
    """What a remedy changes."""

    CABLE = "cable"
    PROTECTION = "protection"
    LENGTH = "length"
    MOVE = "move"
    PART = "part"
    DATA = "data"


@dataclass(frozen=True, kw_only=True)
class Remedy:
    """One way to make a finding go away.

    Parameters
    ----------
    kind : RemedyKind
        What it changes.
    label : str
        What the button says, e.g. ``"Use 6 mm²"``.
    change : Mapping[str, object]
        Machine-readable change: ``{"circuit": id, "size_mm2": 6.0}``,
        ``{"circuit": id, "size_awg": "8"}``, ``{"circuit": id, "rating_a": 15.0}``.
        Empty when a person must act.
    result : str
        What the judged value becomes, e.g. ``"drop 2.4 %"``; empty when unknown.
    """

    kind: RemedyKind
    label: str
    change: Mapping[str, object] = field(default_factory=dict)
    result: str = ""


class Finding(NamedTuple):
    """What one rule says about one subject.

    A check makes some two thousand of them, passes included: a tuple is made in a
    third of the time of a frozen dataclass.

    Parameters
    ----------
    rule_id : str
        Stable identifier of the rule, e.g. ``"drop"``.
    title : str
        Short name of the rule.
    severity : Severity
        The verdict.
    subject : Subject
        What is judged.
    message : str
        One plain sentence.
    clause : Clause
        Where the limit is printed, with its status.
    value, limit : float or None
        Judged value and its limit [unit].
    unit : str
        Unit of `value` and `limit`.
    remedies : tuple of Remedy
        Ways out, the cheapest first.
    missing : tuple of str
        For `CANNOT_TELL`: what must be known, in words.
    state_id : str
        Operating state in which it is worst; empty when it does not matter.
    basis : str
        What the figures stand on where a rule has several ways: the rule's own word for
        it, or the identifier of the other circuit; empty for the usual way.
    at_far_end : bool
        About the device at the far end of the circuit.
    """

    rule_id: str
    title: str
    severity: Severity
    subject: Subject
    message: str
    clause: Clause
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    remedies: tuple[Remedy, ...] = ()
    missing: tuple[str, ...] = ()
    state_id: str = ""
    basis: str = ""
    at_far_end: bool = False

    @property
    def is_open(self) -> bool:
        """Whether somebody has to look at it (anything but a pass)."""
        return self.severity is not Severity.PASS
