"""Each rule, shown something that breaks it, names the file and the line."""

import pytest

from tests.architecture.rules import conventions, docstrings, layers, markup, words
from tests.architecture.rules.source import ROOT, Rule, Source

pytestmark = pytest.mark.pure

PAGE = '{% extends "base_job.html" %}'
LONG_FUNCTION = "def f(a):\n" + "    a += 1\n" * 60
LONG_VIEW = "def page(request):\n" + "    request += 1\n" * 40

BREAKS = [
    (layers.imports_upwards, "catalogue/parts.py", "import quotes.pricing\n", 1),
    (layers.imports_upwards, "fitout/kit/pages.py", "\nfrom fitout.jobs.models import Job\n", 2),
    (layers.imports_upwards, "fitout/jobs/x.py", "def f():\n    from electrical import runs\n", 2),
    (layers.imports_upwards, "fitout/jobs/x.py", "from fitout import purchasing\n", 1),
    (layers.imports_upwards, "fitout/jobs/x.py", "from .. import knockon\n", 1),
    (layers.imports_upwards, "fitout/jobs/models/x.py", "from ...workshop import tasks\n", 1),
    (layers.imports_upwards, "fitout/purchasing/x.py", "import fitout.workshop.tasks\n", 1),
    (layers.imports_upwards, "catalogue/x.py", 'a = models.ForeignKey("jobs.Job")\n', 1),
    (layers.imports_upwards, "catalogue/x.py", 'm = apps.get_model("quotes.Quote")\n', 1),
    (layers.imports_upwards, "catalogue/x.py", 'm = import_module("fitout.knockon")\n', 1),
    (layers.imports_upwards, "electrical/core/x.py", "from electrical.models import Board\n", 1),
    (
        layers.imports_beyond_the_standard_library,
        "electrical/core/x.py",
        "import math\nimport numpy as np\n",
        2,
    ),
    (
        layers.imports_beyond_the_standard_library,
        "electrical/core/energy/x.py",
        "import numpy\nfrom django.utils import timezone\n",
        2,
    ),
    (layers.imports_beyond_the_standard_library, "fitout/bootstrap/x.py", "import django\n", 1),
    (layers.imports_of_tests, "quotes/x.py", "from tests.factories import people\n", 1),
    (conventions.modules_without_a_subject, "quotes/utils.py", "", 1),
    (conventions.modules_without_a_subject, "fitout/kit/form_helpers.py", "", 1),
    (conventions.modules_without_a_subject, "quotes/services/pricing.py", "", 1),
    (conventions.signals, "quotes/x.py", "\nfrom django.dispatch import receiver\n", 2),
    (conventions.signals, "quotes/x.py", "from django.db.models.signals import post_save\n", 1),
    (conventions.long_sources, "quotes/x.py", "\n" * 401, 401),
    (conventions.long_templates, "templates/x.html", "\n" * 151, 151),
    (conventions.long_functions, "quotes/x.py", LONG_FUNCTION, 1),
    (conventions.long_functions, "quotes/views.py", LONG_VIEW, 1),
    (conventions.unescaped_html, "quotes/x.py", 'mark_safe(f"<b>{name}</b>")\n', 1),
    (conventions.unescaped_html, "quotes/x.py", 'mark_safe("<b>%s</b>" % name)\n', 1),
    (conventions.unescaped_html, "quotes/x.py", 'mark_safe("<b>{}</b>".format(name))\n', 1),
    (markup.first_level_headings, "templates/x/_y.html", "<p>\n<h1>Two</h1>", 2),
    (markup.first_level_headings, "templates/x/y.html", PAGE, 1),
    (markup.first_level_headings, "templates/x/y.html", f"{PAGE}<h1>One</h1>\n<h1>Two</h1>", 2),
    (markup.refused_markup, "templates/x.html", '\n<p class="a" style="color: red">\n', 2),
    (markup.refused_markup, "templates/x.html", "<style>p { color: red }</style>", 1),
    (markup.refused_markup, "templates/x.html", '<script nonce="a">go()</script>', 1),
    (markup.refused_markup, "templates/x.html", '<button onclick="go()">', 1),
    (markup.refused_markup, "templates/x.html", '<button hx-on:click="go()">', 1),
    (markup.refused_markup, "templates/x.html", '<a href="javascript:go()">', 1),
    (markup.refused_markup, "templates/x.html", "\n\n{{ part.name|safe }}", 3),
    (markup.refused_markup, "templates/x.html", "{% autoescape off %}", 1),
    (words.refused_words, "quotes/x.py", f'PATH = "{ROOT}/var"', 1),
    (words.refused_words, "quotes/x.py", 'PATH = "/home/someone/var"', 1),
    (words.refused_words, "requirements.txt", "\n--extra-index-url http://localhost", 2),
    (words.refused_words, "quotes/x.py", "# TODO round", 1),
    (words.refused_words, "quotes/x.py", "# see DESIGN.md", 1),
]

KEEPS = [
    (layers.imports_upwards, "quotes/x.py", "from fitout.jobs.models import Job\n"),
    (layers.imports_upwards, "fitout/jobs/x.py", "from .models import Job\n"),
    (layers.imports_upwards, "fitout/home/x.py", "from fitout.handover import packs\n"),
    (layers.imports_upwards, "quotes/x.py", 'a = models.ForeignKey("jobs.Job")\n'),
    (layers.imports_beyond_the_standard_library, "electrical/core/energy/x.py", "import numpy\n"),
    (
        layers.imports_beyond_the_standard_library,
        "fitout/bootstrap/x.py",
        "def f():\n    import django\n",
    ),
    (conventions.modules_without_a_subject, "quotes/commonness.py", ""),
    (conventions.long_functions, "quotes/x.py", LONG_FUNCTION.replace("    a += 1\n", "", 1)),
    (markup.first_level_headings, "templates/x/y.html", f"{PAGE}<h1>One</h1>"),
    (markup.first_level_headings, "templates/x/_y.html", "<h2>Of a fragment</h2>"),
    (markup.refused_markup, "templates/x.html", '<script src="a.js" defer></script>'),
    (markup.refused_markup, "templates/x.html", '{# style="x" #}<p class="style">on = off</p>'),
    (markup.refused_markup, "templates/x.html", "<option{% if one == zone %} selected{% endif %}>"),
    (words.refused_words, "fitout/urls.py", 'path("work/", views.work)'),
]

ABOUT_NO_QUANTITY = '''
def subject(facts: Facts) -> str:
    """Name what the finding is about."""
    if facts.label is None:
        raise BadInput("no label")
    return facts.label
'''

GOOD_DOCSTRING = '''
def drop(*, current_a: float, parts: int) -> float:
    """Tell the drop along a pair.

    Parameters
    ----------
    current_a : float
        Current [A].
    parts : int
        How many.

    Returns
    -------
    float
        Drop [V].

    Raises
    ------
    BadInput
        When the current is negative.

    Notes
    -----
    Ohm's law, see [1]_.

    References
    ----------
    .. [1] A book.
    """
    if current_a < 0:
        raise BadInput(current_a)
    return current_a * parts
'''

UNDOCUMENTED = [
    ("    current_a : float\n", "    amps : float\n", "current_a is not in Parameters"),
    ("Current [A].", "Current.", "current_a has no [unit]"),
    ("    Returns\n    -------\n", "", "no section Returns"),
    ("    Raises\n    ------\n", "", "has no section Raises"),
    ("    Notes\n    -----\n", "", "computes, but has no Notes"),
    ("    .. [1] A book.\n", "    A book.\n", "no reference [1]"),
    ("a pair.\n", "a pair\n", "the first line is not a sentence"),
    ("Parameters\n    ----------", "Examples\n    --------", "sections out of order"),
]

UNDOCUMENTED_DATACLASS = '''
@dataclass(frozen=True)
class Run:
    """A conductor pair.

    Parameters
    ----------
    label : str
        What it is called.
    """

    label: str
    length_m: float
'''


@pytest.mark.parametrize(("rule", "path", "text", "line"), BREAKS)
def test_a_break_is_named_by_file_and_line(rule: Rule, path: str, text: str, line: int) -> None:
    found = list(rule(Source(path, text)))
    assert len(found) == 1, found
    assert found[0].startswith(f"{path}:{line}: ")


@pytest.mark.parametrize(("rule", "path", "text"), KEEPS)
def test_what_is_allowed_passes(rule: Rule, path: str, text: str) -> None:
    assert list(rule(Source(path, text))) == []


def test_a_full_docstring_passes() -> None:
    source = Source("electrical/core/drop.py", GOOD_DOCSTRING)
    assert list(docstrings.incomplete_docstrings(source)) == []


def test_one_sentence_will_do_where_no_quantity_goes_in() -> None:
    source = Source("electrical/core/rules/subject.py", ABOUT_NO_QUANTITY)
    assert list(docstrings.incomplete_docstrings(source)) == []


@pytest.mark.parametrize(("there", "instead", "why"), UNDOCUMENTED)
def test_a_gap_in_a_docstring_is_named(there: str, instead: str, why: str) -> None:
    assert there in GOOD_DOCSTRING
    text = GOOD_DOCSTRING.replace(there, instead)
    found = list(docstrings.incomplete_docstrings(Source("electrical/core/drop.py", text)))
    assert any(why in line and line.startswith("electrical/core/drop.py:2:") for line in found)


def test_a_missing_field_of_a_dataclass_is_named() -> None:
    source = Source("electrical/core/run.py", UNDOCUMENTED_DATACLASS)
    found = list(docstrings.incomplete_docstrings(source))
    assert found == ["electrical/core/run.py:3: Run: length_m is not in Parameters"]


def test_a_docstring_outside_the_core_is_not_asked_for() -> None:
    source = Source("quotes/pricing.py", "def margin(*, cost: float) -> float:\n    return cost\n")
    assert list(docstrings.incomplete_docstrings(source)) == []
