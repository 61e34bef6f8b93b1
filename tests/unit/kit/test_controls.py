"""Controls drawn without templates are, to the character, what Django's templates give."""

from datetime import date
from decimal import Decimal

import pytest
from django import forms
from django.forms.renderers import TemplatesSetting
from django.utils.safestring import mark_safe

from fitout.kit import controls
from fitout.kit.forms import Renderer

MARKUP = "<b>\"'&</b>"
CHOICES = [
    ("", "Not chosen yet"),
    (1, "Bow light & stern <light>"),
    ("two", mark_safe("<i>safe</i>")),
    (3, 4.5),
    (None, Decimal("1234.50")),
    ("Cables", [(mark_safe("&amp;"), "6 mm²"), (5, date(2026, 3, 2))]),
    (MARKUP, [(MARKUP, MARKUP)]),
    ("", [("in no group", "after all")]),
    ("no options", []),
]
ATTRS = {
    "id": "id_part",
    "required": True,
    "disabled": False,
    "data-limit": 1234.5,
    "title": MARKUP,
    "aria-label": mark_safe("&amp;"),
}
WIDGETS = [
    (forms.Select(choices=CHOICES), "two"),
    (forms.Select(choices=CHOICES), None),
    (forms.Select(choices=CHOICES), MARKUP),
    (forms.SelectMultiple(choices=CHOICES), [1, "5"]),
    (forms.NullBooleanSelect(), True),
    (forms.Select(choices=[]), ""),
    *[
        (widget(), value)
        for widget in (
            forms.TextInput,
            forms.NumberInput,
            forms.EmailInput,
            forms.URLInput,
            forms.HiddenInput,
            forms.PasswordInput,
            forms.CheckboxInput,
            forms.DateInput,
        )
        for value in (None, "", 0, 1234.5, Decimal("1234.50"), MARKUP, True, date(2026, 3, 2))
    ],
]


@pytest.mark.pure
@pytest.mark.parametrize("attrs", [{}, ATTRS], ids=["bare", "with attributes"])
@pytest.mark.parametrize(("widget", "value"), WIDGETS)
def test_it_is_what_the_template_gives(
    widget: forms.Widget, value: object, attrs: dict[str, object], monkeypatch: pytest.MonkeyPatch
) -> None:
    name = f"part {MARKUP}"
    by_template = widget.render(name, value, attrs, renderer=TemplatesSetting())
    drawn: list[str | None] = []
    draw = controls.control_html

    def noted(template_name: str, given: controls.Widget) -> str | None:
        drawn.append(draw(template_name, given))
        return drawn[-1]

    monkeypatch.setattr("fitout.kit.forms.control_html", noted)
    assert widget.render(name, value, attrs, renderer=Renderer()) == by_template
    assert drawn != [None], "it was left to the template"


@pytest.mark.pure
def test_a_select_whose_options_look_otherwise_is_left_to_its_template() -> None:
    class Own(forms.Select):
        option_template_name = "kit/own_option.html"

    context = Own(choices=[(1, "one")]).get_context("part", 1, {})
    assert controls.control_html("django/forms/widgets/select.html", context["widget"]) is None


@pytest.mark.pure
def test_what_is_no_input_or_select_is_left_to_its_template() -> None:
    drawn = Renderer().render(
        "django/forms/widgets/textarea.html",
        forms.Textarea().get_context("note", MARKUP, {"rows": "2"}),
    )
    assert drawn == (
        '<textarea name="note" cols="40" rows="2">\n&lt;b&gt;&quot;&#x27;&amp;&lt;/b&gt;</textarea>'
    )
