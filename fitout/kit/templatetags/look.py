"""Tags for the drawn parts of a page: icons, verdicts, crates, places, scales."""

from __future__ import annotations

from typing import Any

from django import template
from django.template import Context
from django.utils.html import format_html
from django.utils.safestring import SafeString

from fitout.kit import icons, navigation
from fitout.kit.text import held_together, large_figures

register = template.Library()

VERDICT_WORDS = {
    "stop": "Stop",
    "attention": "Attention",
    "note": "Note",
    "cannot-tell": "Cannot tell",
    "pass": "Pass",
}

FOLLOW_UP_WORDS = {
    "needed": "Needed",
    "ordered": "Ordered",
    "part-received": "Part received",
    "received": "Received",
    "picked": "Picked",
    "fitted": "Fitted",
    "left-over": "Left over",
}

MESSAGE_ICONS = {"success": "pass", "warning": "attention", "error": "stop", "info": "note"}


@register.filter
def held(words: object) -> str:
    """A number keeps its unit beside it where a line breaks."""
    return held_together(str(words))


@register.filter
def figures(words: object) -> str:
    """The same for a sentence of the check, large figures in groups of three digits."""
    return held_together(large_figures(str(words)))


@register.simple_tag
def icon(name: str) -> SafeString:
    return icons.icon(_dashed(name))


@register.simple_tag
def drawn_icon(name: str) -> SafeString:
    return icons.drawn_icon(_dashed(name))


@register.simple_tag
def icon_sprite() -> SafeString:
    return icons.sprite()


@register.simple_tag
def verdict(kind: str, words: object = "", *, drawn: bool = False) -> SafeString:
    """A verdict: its shape and its word, or the words given (`2 stop`)."""
    kind = _dashed(kind)
    picture = icons.drawn_icon(kind) if drawn else icons.icon(kind)
    return format_html(
        '<span class="verdict {}">{}<span>{}</span></span>',
        kind,
        picture,
        words or VERDICT_WORDS[kind],
    )


@register.simple_tag
def follow_up(state: str, words: object = "", *, late: bool = False) -> SafeString:
    """Where a part is: the crate and its word, or the words given (`Ordered, due 4 Dec`)."""
    state = _dashed(state)
    return format_html(
        '<span class="follow{}">{}{}</span>',
        " late" if late else "",
        icons.icon("late" if late else state),
        words or FOLLOW_UP_WORDS[state],
    )


@register.filter
def message_icon(level_tag: str) -> str:
    return MESSAGE_ICONS.get(level_tag, "note")


@register.inclusion_tag("kit/_gauge.html")
def gauge(value: Any, limit: Any = None, *, full: Any = None, kind: str = "") -> dict[str, Any]:
    """A share of a limit as a bar. The limit stands at 71 % of the width unless `full` is given."""
    top = float(full) if full is not None else float(limit) * 1.4 if limit else 100.0
    return {
        "fill_pct": _percent(value, top),
        "limit_pct": None if limit is None else _percent(limit, top),
        "kind": _dashed(kind),
    }


@register.inclusion_tag("kit/_places.html", takes_context=True)
def register_places(context: Context) -> dict[str, Any]:
    request = context["request"]
    return {"places": navigation.register_for(request.user, request.path)}


@register.inclusion_tag("kit/_job_tabs.html", takes_context=True)
def job_tabs(context: Context, job: Any) -> dict[str, Any]:
    request = context["request"]
    path = context.get("tab_path") or request.path
    places = navigation.job_views_for(request.user, job.number, path, job.stage)
    return {"places": places, "counts": context.get("tab_counts") or {}}


@register.inclusion_tag("kit/_ladder.html")
def stage_ladder(job: Any) -> dict[str, Any]:
    """The stages of a job as a graduated bar; a lost job shows how far it came."""
    choices = job._meta.get_field("stage").choices
    steps = [(value, word) for value, word in choices if value != "lost"]
    at = next((i for i, (value, _) in enumerate(steps) if value == job.stage), None)
    return {
        "lost": at is None,
        "since": job.stage_since,
        "steps": [
            {"word": word, "state": _step_state(position, at)}
            for position, (_, word) in enumerate(steps)
        ],
    }


def _step_state(position: int, at: int | None) -> str:
    if at is None or position > at:
        return ""
    return "now" if position == at else "done"


def _percent(value: Any, full: float) -> str:
    share = 0.0 if full <= 0 else max(0.0, min(1.0, float(value or 0) / full))
    return f"{share * 100:.1f}%"


def _dashed(name: str) -> str:
    return str(name).replace("_", "-")
