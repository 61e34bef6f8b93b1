"""The rules as a table for people to read."""

from electrical.core.findings import SubjectKind
from electrical.core.rules import CIRCUIT_RULES, DESIGN_RULES, data_backbone
from electrical.core.rules.registry import CircuitRule, DesignRule
from electrical.core.status import Clause

AnyRule = CircuitRule | DesignRule | data_backbone.BackboneRule

HEADINGS = ("Rule", "About", "What it asks", "ISO", "US", "Module")


def rule_rows() -> tuple[tuple[str, ...], ...]:
    """Return one row per rule, in the order of checking.

    Returns
    -------
    tuple of tuple of str
        As many cells as `HEADINGS`.
    """
    rows = []
    about_each: tuple[tuple[tuple[AnyRule, ...], str], ...] = (
        (CIRCUIT_RULES, SubjectKind.CIRCUIT.value),
        (DESIGN_RULES, SubjectKind.DESIGN.value),
        (data_backbone.RULES, "data backbone"),
    )
    for rules, about in about_each:
        for rule in rules:
            asks = (rule.judge.__doc__ or "").strip().split("\n", 1)[0]
            module = rule.module.rsplit(".", 1)[-1]
            cells = (_words(rule.iso), _words(rule.us), f"`rules/{module}.py`")
            rows.append((f"`{rule.id}` {rule.title}", about, asks, *cells))
    return tuple(rows)


def _words(clause: Clause) -> str:
    return f"{clause} ({clause.status.value})" if clause.clause else str(clause)


def markdown() -> str:
    """Return the table as Markdown.

    Returns
    -------
    str
        With a heading row, ending in a line break.
    """
    rows = (HEADINGS, tuple("---" for _ in HEADINGS), *rule_rows())
    return "".join(f"| {' | '.join(row)} |\n" for row in rows)


if __name__ == "__main__":
    from pathlib import Path

    readme = Path(__file__).parents[1] / "README.md"
    text = readme.read_text(encoding="utf-8")
    before, _old = text.split("<!-- rules -->\n")
    _table, after = _old.split("<!-- end of rules -->")
    readme.write_text(
        f"{before}<!-- rules -->\n{markdown()}<!-- end of rules -->{after}", encoding="utf-8"
    )
