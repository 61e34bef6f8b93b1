"""NFPA 70 Table 690.7(A): how much a solar panel's voltage rises in the cold."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from electrical.core.errors import OutOfTable
from electrical.core.tables.voc_cold import cold_factor

CASES = tomllib.loads((Path(__file__).parent / "cases" / "nfpa70_690.toml").read_text())


@pytest.mark.parametrize("case", CASES["case"], ids=lambda c: str(c["lowest_c"]))
def test_factors_are_as_printed(case: dict[str, Any]) -> None:
    assert cold_factor(case["lowest_c"]) == case["printed"]


@pytest.mark.parametrize("lowest_c", [25.0, -40.1, float("nan")])
def test_the_table_is_never_extended(lowest_c: float) -> None:
    with pytest.raises(OutOfTable, match=r"Table 690\.7"):
        cold_factor(lowest_c)


def test_colder_is_never_less() -> None:
    factors = [cold_factor(step / 2) for step in range(48, -81, -1)]
    assert factors == sorted(factors)
