"""ISO 10133 from memory, and how little it is trusted until a licensed copy is read."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from electrical.core.ampacity import Surroundings, ampacity, next_smaller_gauge
from electrical.core.check import check_design
from electrical.core.errors import OutOfTable
from electrical.core.findings import RuleSet, Severity
from electrical.core.parts import Cable
from electrical.core.sizes import mm2
from electrical.core.status import SourceStatus
from electrical.core.tables import iso10133
from tests.unit.core.designs import branch, design, feeder

CASES = tomllib.loads((Path(__file__).parent / "cases" / "iso10133.toml").read_text())


@pytest.mark.parametrize("case", CASES["cell"], ids=lambda c: f"{c['mm2']:g} {c['insulation_c']}")
def test_cells_are_as_remembered(case: dict[str, Any]) -> None:
    found = iso10133.continuous_a(mm2=case["mm2"], insulation_c=case["insulation_c"])
    assert found == case["remembered_a"]
    assert iso10133.CLAUSE.status is SourceStatus.MEMORY


@pytest.mark.parametrize(
    ("size", "expected"),
    [(0.75, None), (1.0, "18"), (1.5, "16"), (2.5, "14"), (6, "10"), (10, "8"), (150, "4/0")],
)
def test_a_metric_size_is_compared_with_the_next_smaller_gauge(
    size: float, expected: str | None
) -> None:
    assert next_smaller_gauge(size) == expected


def test_the_stricter_table_decides_where_the_read_one_is_stricter() -> None:
    found = ampacity(cable=Cable(size=mm2(2.5), insulation_c=85), rule_set=RuleSet.ISO)
    assert (found.deciding.corrected_a, found.deciding.size_label) == (25.0, "14 AWG")
    assert found.compared is not None
    assert found.compared.corrected_a == 30.0
    assert not found.from_memory_decides


def test_the_finding_says_so_where_the_remembered_table_decides() -> None:
    cable = Cable(size=mm2(2.5), insulation_c=60)
    result = check_design(design(feeder(), branch(cable=cable)))
    verdict = result.circuits["C1"].ampacity
    assert verdict is not None
    assert verdict.from_memory_decides
    check = next(c for c in result.circuits["C1"].checks if c.rule_id == "ampacity")
    assert check.message == (
        "C1 carries 5.0 A, within the 17.0 A its 2.5 mm² may carry here; the value is from "
        "memory, 33 CFR 183.425, Table 5 gives 20.0 A."
    )
    assert check.clause.status is SourceStatus.MEMORY


def test_a_size_no_other_table_holds_is_marked() -> None:
    result = check_design(design(feeder(), branch(cable=Cable(size=mm2(0.75)))))
    check = next(c for c in result.circuits["C1"].checks if c.rule_id == "ampacity")
    assert check.severity is Severity.PASS
    assert check.message.endswith("the value is from memory and no other table holds the size.")


def test_60_degree_insulation_may_not_enter_engine_spaces() -> None:
    around = Surroundings(in_engine_space=True)
    found = ampacity(
        cable=Cable(size=mm2(2.5), insulation_c=60), rule_set=RuleSet.ISO, around=around
    )
    assert found.deciding.corrected_a == 0.0


def test_the_table_is_never_extended() -> None:
    with pytest.raises(OutOfTable, match="no entry for 3 mm²"):
        iso10133.continuous_a(mm2=3.0, insulation_c=85)
