"""Figures of a finding as they are shown."""

from typing import cast

import pytest

from electrical.core.findings import Finding, Severity, Subject, SubjectKind
from electrical.core.status import NO_SOURCE
from electrical.facts import Facts
from electrical.finding_groups import FindingGroup, figure_texts
from fitout.kit.text import THIN_SPACE

pytestmark = pytest.mark.pure
NBSP = "\N{NO-BREAK SPACE}"


@pytest.mark.parametrize(
    ("value", "limit", "shown"),
    [
        (3.9123, 3.0, ("3.91", "3")),
        (120.1, 120.0, ("120.1", "120")),
        (10.004, 10.0, ("10.004", "10")),
        (4887.0, 2000.0, ("4~887", "2~000")),
        (159630.0, 10000.4, ("159~630", "10~000")),
        (10000.4, 10000.0, ("10~000.4", "10~000")),
        (-2000.0, 999.0, ("-2~000", "999")),
        (120.0, 120.0, ("120", "120")),
    ],
)
def test_value_and_limit_are_told_apart(value: float, limit: float, shown: tuple[str, str]) -> None:
    grouped = [digits.replace("~", THIN_SPACE) for digits in shown]
    assert figure_texts(value, limit, "A") == tuple(f"{digits}{NBSP}A" for digits in grouped)


def test_what_is_not_known_is_left_empty() -> None:
    assert figure_texts(None, 3.0, "%") == ("", f"3{NBSP}%")


def cannot_tell(label: str, missing: str) -> Finding:
    return Finding(
        rule_id="selectivity",
        title="Only the nearer device opens",
        severity=Severity.CANNOT_TELL,
        subject=Subject(kind=SubjectKind.CIRCUIT, id=label[1:], label=label),
        message=f"{label}: cannot tell without the {missing}.",
        clause=NO_SOURCE,
        missing=(missing,),
    )


def test_a_sentence_for_many_names_no_circuit_that_is_ahead_of_one_only() -> None:
    own = "time-current curves of its device and of C01's"
    other = "time-current curves of its device and of C02's"
    facts = cast("Facts", None)
    alike = FindingGroup(1, (cannot_tell("C07", own), cannot_tell("C08", own)), facts)
    mixed = FindingGroup(1, (cannot_tell("C07", own), cannot_tell("C09", other)), facts)
    assert alike.sentence == f"Cannot tell without the {own}."
    words = "Cannot tell without the time-current curves of its device and of the one ahead of it."
    assert mixed.sentence == words
