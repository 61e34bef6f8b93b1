"""Grouping of conductors: ABYC E-11 factors, and the lightly loaded of IEC 60364-5-52."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from electrical.core.bundles import LIGHTLY_LOADED_CLAUSE, LoadedSegments
from electrical.core.design import Design, Route
from electrical.core.errors import BadInput
from electrical.core.status import SourceStatus
from electrical.core.tables.cfr183_425 import bundle_factor
from electrical.core.tables.grouping import CLAUSE, grouping_factor
from tests.unit.core.designs import branch, design

FILE = tomllib.loads((Path(__file__).parent / "cases" / "grouping.toml").read_text())


@pytest.mark.parametrize("case", FILE["case"], ids=str)
def test_factors_are_the_remembered_ones(case: dict[str, Any]) -> None:
    for conductors in case["conductors"]:
        assert grouping_factor(conductors) == case["factor"]
    assert CLAUSE.status.value == FILE["status"]


def test_they_are_never_above_the_regulations_for_higher_voltages() -> None:
    """33 CFR 183.425 Table 5, note 2, second-hand, holds from 50 V."""
    assert all(grouping_factor(n) <= bundle_factor(n) for n in range(1, 60))


def test_no_conductors_are_no_group() -> None:
    with pytest.raises(BadInput, match="Loaded conductors: 0; at least 1"):
        grouping_factor(0)


def laid(count: int, *, current_a: float) -> tuple[Design, LoadedSegments]:
    """Runs of 20 A each in one cableway, the first at `current_a`, the others full."""
    runs = [branch(id=f"C{n}", route=Route(length_m=2.0, segment_ids=("W",))) for n in range(count)]
    net = design(*runs)
    state_id = net.states[0].id
    current = {(run.id, state_id): 20.0 for run in runs} | {("C0", state_id): current_a}
    alone = {run.id: 20.0 for run in runs}
    return net, LoadedSegments(design=net, current_a=current, alone_a=alone)


@pytest.mark.parametrize(
    ("count", "current_a", "counts"),
    [
        (1, 5.9, False),  # 30 % of 20 A
        (1, 6.1, True),
        (2, 3.5, False),  # four conductors: 30 % of 12 A
        (2, 3.7, True),
        (4, 2.9, False),  # eight conductors: 30 % of 10 A
        (4, 3.1, True),
    ],
)
def test_a_run_at_thirty_per_cent_of_its_grouped_rating_is_not_counted(
    count: int, current_a: float, counts: bool
) -> None:
    """BS 7671, 523.5, quoted in a forum (electriciansforums, thread 60429)."""
    net, segments = laid(count, current_a=current_a)
    assert segments.is_loaded(net.circuits[0], "W", net.states[0].id) is counts
    assert LIGHTLY_LOADED_CLAUSE.status is SourceStatus.SECOND_HAND
