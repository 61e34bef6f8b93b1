"""Findings as a person reads them: numbered, alike ones together, each with its way out."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from django.utils.text import slugify

from electrical.core.findings import Finding, Remedy, Severity, SubjectKind
from electrical.core.rules import earthing
from electrical.core.status import Clause
from electrical.facts import Facts
from electrical.models import Device
from electrical.shelf import Shelf
from fitout.kit.text import THIN_SPACE, in_thousands

#: Worth reading one by one; the others are told once, with the circuits they are about.
ONE_BY_ONE = frozenset({Severity.STOP, Severity.ATTENTION})
DEVICE_KINDS = frozenset(
    {SubjectKind.SOURCE, SubjectKind.BOARD, SubjectKind.CONVERTER, SubjectKind.LINK}
)


#: The circuit ahead in "time-current curves of its device and of C01's", each finding its own.
OF_ANOTHER = re.compile(r"\bof [A-Z]+\d+'s$")

EARTHING_RULES = frozenset(rule.id for rule in earthing.RULES)


def is_about_earth(finding: Finding) -> bool:
    """By the rules of earthing, or of colours about a bonding conductor; they have a page."""
    of_a_bond = finding.rule_id == "colours" and finding.subject.kind is SubjectKind.PART
    return finding.rule_id in EARTHING_RULES or of_a_bond


@dataclass(frozen=True)
class Offer:
    """One remedy as a button, with the fields it sends."""

    label: str
    result: str
    fields: tuple[tuple[str, str], ...]
    can_be_had: bool
    """The catalogue holds a part for it."""

    @property
    def words(self) -> str:
        """Within a sentence."""
        return self.label[:1].lower() + self.label[1:]


@dataclass(frozen=True)
class FindingGroup:
    number: int
    findings: tuple[Finding, ...]
    facts: Facts
    shelf: Shelf | None = None
    """Where the parts of remedies are looked for; without it each is taken as there."""

    @property
    def first(self) -> Finding:
        return self.findings[0]

    @property
    def severity(self) -> Severity:
        return self.first.severity

    @property
    def kind(self) -> str:
        return self.severity.value.replace(" ", "_")

    @property
    def title(self) -> str:
        return self.first.title

    @property
    def sentence(self) -> str:
        first = self.first
        if len(self.findings) == 1 or first.severity is not Severity.CANNOT_TELL:
            return first.message
        missing = first.missing
        if len({f.missing for f in self.findings}) > 1:
            missing = tuple(OF_ANOTHER.sub("of the one ahead of it", words) for words in missing)
        return f"Cannot tell without the {' and the '.join(missing)}."

    @property
    def others(self) -> tuple[str, ...]:
        """Sentences of the rest of the group, where they say more than the first."""
        if self.severity is Severity.CANNOT_TELL or self.is_alike:
            return ()
        return tuple(finding.message for finding in self.findings[1:])

    @property
    def is_alike(self) -> bool:
        """The same figures, or the same words but for the name: one sentence tells it for all."""
        if len(self.findings) == 1:
            return False
        if self.first.value is not None:
            return True
        return len({f.message.replace(f.subject.label, "") for f in self.findings}) == 1

    @property
    def labels(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(f.subject.label for f in self.findings))

    @property
    def tag(self) -> str:
        """The circuit to select; empty when it is about none or several."""
        kinds = {f.subject.kind for f in self.findings}
        single = len(self.labels) == 1 and kinds == {SubjectKind.CIRCUIT}
        return self.labels[0] if single else ""

    @property
    def tags(self) -> tuple[str, ...]:
        """Circuits that share it, as tags; empty when it is about one or about none."""
        kinds = {f.subject.kind for f in self.findings}
        return self.labels if kinds == {SubjectKind.CIRCUIT} and not self.tag else ()

    @property
    def circuit_id(self) -> int | None:
        subject = self.first.subject
        return int(subject.id) if self.tag and subject.id.isdecimal() else None

    @property
    def device_id(self) -> int | None:
        subject = self.first.subject
        if subject.kind not in DEVICE_KINDS or not subject.id.isdecimal():
            return None
        return int(subject.id) if int(subject.id) in self.facts.device_by_id else None

    @property
    def asks_device(self) -> bool:
        """Whether more said of the device may settle it; a note leaves nothing to tell."""
        return self.severity is not Severity.NOTE and self.device_id is not None

    @property
    def place(self) -> str:
        """Where on the page of checks it is worked out; a circuit has a page of its own."""
        is_circuit = self.first.subject.kind is SubjectKind.CIRCUIT
        return "" if is_circuit else place_of(self.facts, self.first)

    @property
    def is_on_backbone(self) -> bool:
        """About the data backbone, which has a page of its own."""
        return self.first.rule_id.startswith("data-")

    @property
    def is_about_earth(self) -> bool:
        return is_about_earth(self.first)

    @property
    def subject_name(self) -> str:
        if self.circuit_id is not None and self.circuit_id in self.facts.circuit_by_id:
            return self.facts.circuit_by_id[self.circuit_id].name
        if self.tag:
            return ""
        names = [label.split(",")[0] for label in self.labels]
        return ", ".join(names if len(names) > 1 else self.labels) if len(names) <= 3 else ""

    @property
    def source(self) -> str:
        return source_of(self.first.clause)

    @property
    def has_figures(self) -> bool:
        return self.first.value is not None and self.first.limit is not None

    @property
    def value_text(self) -> str:
        return figure_texts(self.first.value, self.first.limit, self.first.unit)[0]

    @property
    def limit_text(self) -> str:
        return figure_texts(self.first.value, self.first.limit, self.first.unit)[1]

    @cached_property
    def offers(self) -> tuple[Offer, ...]:
        """Remedies that can be carried out here; the others are read in the sentence."""
        offered = enumerate(self.first.remedies)
        return tuple(self._offer(at, remedy) for at, remedy in offered if remedy.change)

    def _offer(self, at: int, remedy: Remedy) -> Offer:
        """One button does it for every circuit of the group."""
        fields = dict.fromkeys(
            (name, str(value))
            for finding in self.findings
            for name, value in finding.remedies[at].change.items()
        )
        return Offer(
            label=remedy.label,
            result=remedy.result,
            fields=tuple(fields),
            can_be_had=all(self._can_be_had(f.remedies[at]) for f in self.findings),
        )

    def _can_be_had(self, remedy: Remedy) -> bool:
        circuit_id = str(remedy.change.get("circuit", ""))
        if self.shelf is None or not circuit_id.isdecimal():
            return True
        circuit = self.facts.circuit_by_id.get(int(circuit_id))
        asked = {name: str(value) for name, value in remedy.change.items()}
        return circuit is None or self.shelf.has(circuit, asked)

    @property
    def result_text(self) -> str:
        return next((offer.result for offer in self.offers if offer.can_be_had), "")

    @property
    def can_be_mended_here(self) -> bool:
        return any(offer.can_be_had for offer in self.offers)

    @property
    def advice(self) -> tuple[str, ...]:
        return tuple(remedy.label for remedy in self.first.remedies if not remedy.change)


def device_of(facts: Facts, finding: Finding) -> Device | None:
    """The device it is about, whatever the rule takes it for."""
    subject = finding.subject
    if subject.kind is SubjectKind.CIRCUIT or is_about_earth(finding):
        return None  # numbered by circuits, and by what is bonded
    return facts.device_by_id.get(int(subject.id)) if subject.id.isdecimal() else None


def place_of(facts: Facts, finding: Finding) -> str:
    """A name for its subject that an address may hold: one for each device."""
    device, subject = device_of(facts, finding), finding.subject
    return slugify(f"device {device.pk}" if device else f"{subject.kind.name} {subject.id}")


def source_of(clause: Clause) -> str:
    """Where a limit is printed, and how sure that is."""
    if str(clause).endswith("no source"):
        return str(clause).capitalize()
    return f"{clause} ({clause.status.value})"


def figure_text(value: float | None, unit: str, more: int = 0) -> str:
    if value is None:
        return ""
    digits = in_thousands(f"{value:.{more}f}") if abs(value) >= 100 else f"{value:.{3 + more}g}"
    return f"{digits}\N{NO-BREAK SPACE}{unit}".strip()


def figure_texts(value: float | None, limit: float | None, unit: str) -> tuple[str, str]:
    """Value and limit, with as many digits as it takes to tell them apart."""
    first = figure_text(value, unit), figure_text(limit, unit)
    if value is None or limit is None or value == limit or first[0] != first[1]:
        return first
    for more in (1, 2, 3):
        finer = figure_text(value, unit, more), figure_text(limit, unit)
        shown = finer[0].split("\N{NO-BREAK SPACE}")[0].replace(THIN_SPACE, "")
        if finer[0] != finer[1] and float(shown) != limit:
            return finer
    return first


def grouped(
    facts: Facts, findings: Iterable[Finding], shelf: Shelf | None = None
) -> list[FindingGroup]:
    groups: dict[tuple[object, ...], list[Finding]] = {}
    for index, finding in enumerate(findings):
        key: tuple[object, ...] = (index,)
        if finding.subject.kind is SubjectKind.CIRCUIT and finding.value is not None:
            key = _alike(finding)
        if finding.severity not in ONE_BY_ONE and finding.subject.kind is not SubjectKind.DESIGN:
            key = (finding.rule_id, finding.severity, _general(finding.missing))
        groups.setdefault(key, []).append(finding)
    return [
        FindingGroup(number=number, findings=tuple(members), facts=facts, shelf=shelf)
        for number, members in enumerate(groups.values(), start=1)
    ]


def _alike(finding: Finding) -> tuple[object, ...]:
    """Same rule, same figures, same ways out: circuits of one board that share one trouble."""
    value, limit = (
        figure_text(finding.value, finding.unit),
        figure_text(finding.limit, finding.unit),
    )
    offers = tuple((remedy.label, remedy.result) for remedy in finding.remedies)
    return (finding.rule_id, finding.severity, value, limit, offers)


def _general(missing: tuple[str, ...]) -> tuple[str, ...]:
    """What is missing without whose it is: "starting current of M2 Pump" is one kind."""
    return tuple(words.split(" of ")[0] for words in missing)


def numbers_by_circuit(groups: Iterable[FindingGroup]) -> Mapping[int, int]:
    """Number of the worst finding about each circuit."""
    numbers: dict[int, int] = {}
    for group in groups:
        for finding in group.findings:
            subject = finding.subject
            if subject.kind is SubjectKind.CIRCUIT and subject.id.isdecimal():
                numbers.setdefault(int(subject.id), group.number)
    return numbers
