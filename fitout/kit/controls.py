"""Inputs and selects as HTML, without a template for each option.

What comes out is what Django's own widget templates give, to the character; tests compare the
two. A select of three hundred parts costs three hundred templates otherwise, which is most of
the time a form takes.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from django.template import Context
from django.template.base import render_value_in_context
from django.utils.html import conditional_escape, escape
from django.utils.safestring import SafeData

Widget = Mapping[str, Any]
OPTION = "django/forms/widgets/select_option.html"
_PLAIN = Context()


def control_html(template_name: str, widget: Widget) -> str | None:
    """The control, or nothing where only its template knows how it looks."""
    draw = _DRAWN.get(template_name)
    return draw(widget) if draw else None


def _select(widget: Widget) -> str | None:
    groups = widget["optgroups"]
    if any(one["template_name"] != OPTION for _, options, _ in groups for one in options):
        return None
    inside = "".join(_group(name, options) for name, options, _ in groups)
    return f'<select name="{_shown(widget["name"])}"{_attributes(widget)}>{inside}\n</select>'


def _group(name: object, options: list[Widget]) -> str:
    inside = "".join(map(_option, options))
    if not name:
        return inside
    return f'\n  <optgroup label="{_shown(name)}">{inside}\n  </optgroup>'


def _option(option: Widget) -> str:
    value, label = _text(option["value"]), _shown(option["label"])
    return f'\n  <option value="{value}"{_attributes(option)}>{label}</option>\n'


def _input(widget: Widget) -> str:
    given = widget["value"]
    value = "" if given is None else f' value="{_text(given)}"'
    kind, name = _shown(widget["type"]), _shown(widget["name"])
    return f'<input type="{kind}" name="{name}"{value}{_attributes(widget)}>'


def _attributes(widget: Widget) -> str:
    return "".join(_attribute(name, value) for name, value in widget["attrs"].items())


def _attribute(name: str, value: object) -> str:
    if value is False:
        return ""
    return f" {_shown(name)}" if value is True else f' {_shown(name)}="{_text(value)}"'


def _text(value: object) -> str:
    """As ``{{ value|stringformat:'s' }}``: a number as programs write it."""
    return str(value) if isinstance(value, SafeData) else escape(str(value))


def _shown(value: object) -> str:
    """As ``{{ value }}``: a number or a date as people write it."""
    if isinstance(value, str):
        return conditional_escape(value)
    return str(render_value_in_context(value, _PLAIN))


_DRAWN: dict[str, Callable[[Widget], str | None]] = {
    "django/forms/widgets/select.html": _select,
    **{
        f"django/forms/widgets/{kind}.html": _input
        for kind in ("text", "number", "email", "url", "hidden", "password", "checkbox", "date")
    },
}
