"""The rules about the source, each read over all of it."""

import pytest

from tests.architecture.rules import conventions, docstrings, layers, markup, words
from tests.architecture.rules.source import (
    Rule,
    Source,
    all_broken,
    application_sources,
    sources,
    templates,
)

pytestmark = pytest.mark.pure

OVER_THE_APPLICATION = (
    layers.imports_upwards,
    layers.imports_beyond_the_standard_library,
    layers.imports_of_tests,
    conventions.signals,
    conventions.unescaped_html,
    docstrings.incomplete_docstrings,
)
OVER_ALL_PYTHON = (
    conventions.modules_without_a_subject,
    conventions.long_sources,
    conventions.long_functions,
)
OVER_TEMPLATES = (
    conventions.long_templates,
    markup.first_level_headings,
    markup.refused_markup,
)


def _written_by_hand() -> list[Source]:
    return [s for s in sources(".py") if not (s.is_migration and "_initial" in s.path)]


@pytest.mark.parametrize("rule", OVER_THE_APPLICATION)
def test_the_application_keeps_to(rule: Rule) -> None:
    _require_none(rule, application_sources())


@pytest.mark.parametrize("rule", OVER_ALL_PYTHON)
def test_all_python_keeps_to(rule: Rule) -> None:
    _require_none(rule, _written_by_hand())


@pytest.mark.parametrize("rule", OVER_TEMPLATES)
def test_templates_keep_to(rule: Rule) -> None:
    _require_none(rule, templates())


def test_no_file_holds_what_belongs_elsewhere() -> None:
    kinds = (".py", ".html", ".css", ".js", ".md", ".toml", ".txt", ".svg", ".csv", ".sh", "")
    _require_none(words.refused_words, sources(*kinds))


def _require_none(rule: Rule, where: list[Source] | tuple[Source, ...]) -> None:
    assert where, "nothing was read"
    broken = all_broken(rule, where)
    assert not broken, f"{len(broken)} broken:\n" + "\n".join(broken)
