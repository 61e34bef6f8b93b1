"""The electrical check of a job: everything computed, and every finding."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from electrical.adapters import design_of
from electrical.adapters.routes import Router, Run, runs_of
from electrical.core.check import check_design
from electrical.core.design import Design
from electrical.core.errors import CoreError
from electrical.core.findings import Finding, Severity
from electrical.core.results import CircuitResult, DesignResult
from electrical.data_backbone.judging import Judged, judged
from electrical.data_backbone.layout import layout_of
from electrical.energy import Energy, energies_of, worst_of
from electrical.facts import Facts, load_facts
from electrical.models import Circuit
from electrical.own_rules import own_findings, refused
from fitout.jobs.models import Job

#: Worst first, as somebody works them off: what can be put right now before what must be
#: found out.
ORDER = (
    Severity.STOP,
    Severity.ATTENTION,
    Severity.CANNOT_TELL,
    Severity.NOTE,
    Severity.PASS,
)


@dataclass(frozen=True)
class Checked:
    facts: Facts
    router: Router
    runs: Mapping[int, Run]
    design: Design | None
    result: DesignResult | None
    own: tuple[Finding, ...]
    """Findings about what the core cannot see: unwired devices, board ways, makers' limits."""

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """Everything somebody has to look at, worst first."""
        return _worst_first(finding for finding in self._every if finding.is_open)

    @cached_property
    def judged(self) -> tuple[Finding, ...]:
        """Every check that was made, passes included, worst first."""
        return _worst_first(self._every)

    @property
    def _every(self) -> tuple[Finding, ...]:
        core = self.result.checks if self.result else ()
        data = self.data.findings if self.data else ()
        return (*core, *data, *self.own)

    @cached_property
    def by_circuit(self) -> dict[int, tuple[Finding, ...]]:
        found: dict[int, list[Finding]] = {}
        for finding in self.findings:
            if finding.subject.id.isdecimal() and finding.subject.kind.value == "circuit":
                found.setdefault(int(finding.subject.id), []).append(finding)
        return {circuit_id: tuple(items) for circuit_id, items in found.items()}

    @cached_property
    def data(self) -> Judged | None:
        """The data backbone; None where the job has none."""
        layout = layout_of(self.facts, self.router)
        return judged(layout, self.result) if layout else None

    @cached_property
    def energies(self) -> tuple[Energy, ...]:
        """One for each use profile."""
        return energies_of(self.facts)

    @property
    def energy(self) -> Energy:
        """Of the use profile that decides."""
        return worst_of(self.energies)

    def result_of(self, circuit: Circuit) -> CircuitResult | None:
        return self.result.circuits.get(str(circuit.pk)) if self.result else None

    def severity_of(self, circuit: Circuit) -> Severity:
        found = self.by_circuit.get(circuit.pk, ())
        return min((f.severity for f in found), key=ORDER.index, default=Severity.PASS)

    def count(self, severity: Severity) -> int:
        return sum(finding.severity is severity for finding in self.findings)

    @cached_property
    def counts(self) -> dict[str, int]:
        """How many findings of each severity, by its name; passed checks too."""
        counted = {severity.name.lower(): self.count(severity) for severity in Severity}
        passed = self.result.count(Severity.PASS) if self.result else 0
        passed += self.data.passed if self.data else 0
        return counted | {"pass": passed}


def _worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    return tuple(sorted(findings, key=lambda finding: ORDER.index(finding.severity)))


def check(job: Job) -> Checked:
    """Check a job as it stands; reads only."""
    return check_facts(load_facts(job))


def unchecked(facts: Facts) -> Checked:
    """Runs and lengths without a check, which takes longer."""
    router = Router(facts)
    return Checked(facts, router, runs_of(facts, router), None, None, ())


def check_facts(facts: Facts) -> Checked:
    """Trouble with the data is a finding, never an exception."""
    router = Router(facts)
    runs = runs_of(facts, router)
    own = own_findings(facts, runs)
    try:
        design = design_of(facts, runs)
        result = check_design(design)
    except CoreError as error:
        own = (refused(facts, str(error)), *own)
        return Checked(facts, router, runs, None, None, own)
    return Checked(facts, router, runs, design, result, own)
