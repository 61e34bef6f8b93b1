"""Ask one rule about one design."""

from electrical.core.check import check_design
from electrical.core.design import Design
from electrical.core.findings import Finding, Severity


def checks(design: Design, rule_id: str, subject_id: str | None = None) -> list[Finding]:
    return [
        check
        for check in check_design(design).checks
        if check.rule_id == rule_id and subject_id in {None, check.subject.id}
    ]


def check(design: Design, rule_id: str, subject_id: str | None = None) -> Finding:
    found = checks(design, rule_id, subject_id)
    assert found, f"the rule {rule_id} said nothing"
    return min(found, key=lambda finding: finding.severity.rank)


def severity(design: Design, rule_id: str, subject_id: str | None = None) -> Severity:
    return check(design, rule_id, subject_id).severity
