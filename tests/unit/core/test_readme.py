"""The README of the core says what the code does."""

import re
from pathlib import Path
from typing import Any

import electrical.core
from electrical.core.findings import RuleSet
from electrical.core.rules import CIRCUIT_RULES, DESIGN_RULES
from electrical.core.rules.table import markdown
from tests.unit.core.designs import design

CORE = Path(electrical.core.__file__).parent
README = (CORE / "README.md").read_text(encoding="utf-8")


def test_the_rule_table_is_the_one_the_code_gives() -> None:
    table = README.split("<!-- rules -->\n")[1].split("<!-- end of rules -->")[0]
    assert table == markdown(), "run: python -m electrical.core.rules.table"


def test_every_file_it_names_is_there() -> None:
    for name in re.findall(r"`([a-z_/]+(?:\.py|/))`", README):
        assert (CORE / name).exists(), f"{name} is not in the core"


def test_every_rule_says_what_it_asks_and_where_it_is_printed() -> None:
    rules: tuple[Any, ...] = (*CIRCUIT_RULES, *DESIGN_RULES)
    assert len({rule.id for rule in rules}) == len(rules)
    for rule in rules:
        assert (rule.judge.__doc__ or "").strip().endswith(".")
        for rule_set in RuleSet:
            assert rule.clause(design(rule_set=rule_set)).source


def test_every_module_of_the_core_is_mentioned() -> None:
    unnamed = [
        path.name
        for path in CORE.glob("*.py")
        if path.name != "__init__.py" and f"`{path.name}`" not in README
    ]
    assert unnamed == []
