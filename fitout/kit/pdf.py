"""Documents as PDF: a template, drawn by the press. Nothing is fetched."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.contrib.staticfiles.finders import AppDirectoriesFinder, FileSystemFinder, get_finders
from django.template.loader import render_to_string

from .drawing import Order
from .press import press


def static_folders() -> tuple[str, ...]:
    """Where our own static files are, the first that has a name deciding."""
    of_folders = (FileSystemFinder, AppDirectoriesFinder)
    finders = (finder for finder in get_finders() if isinstance(finder, of_folders))
    return tuple(str(one.location) for finder in finders for one in finder.storages.values())


def html_to_pdf(html: str, *, sheets: Sequence[str] = ("print/doc.css",)) -> bytes:
    return press.draw(Order(html, tuple(sheets), static_folders()))


def render_pdf(
    template: str, context: Mapping[str, Any], *, sheets: Sequence[str] = ("print/doc.css",)
) -> bytes:
    """Every document names the workshop; the rest is up to the caller."""
    from .models import Workshop

    known = {"workshop": Workshop.current(), **context}
    return html_to_pdf(render_to_string(template, known), sheets=sheets)
