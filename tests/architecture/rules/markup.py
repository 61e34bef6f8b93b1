"""What the content security policy refuses, and what would let markup into a page."""

import re
from collections.abc import Iterator

from tests.architecture.rules.source import Source

IN_MARKUP = (
    (re.compile(r"<[^>{%]*\sstyle\s*=", re.IGNORECASE), "inline style; use a class"),
    (re.compile(r"<style\b", re.IGNORECASE), "style element; use a stylesheet"),
    (
        re.compile(r"<script\b(?![^>]*\ssrc=)(?![^>]*type=.application/json)", re.IGNORECASE),
        "inline script; use a file",
    ),
    (re.compile(r"<[^>]*\son[a-z]+\s*=", re.IGNORECASE), "inline event handler; use a file"),
    (re.compile(r"\shx-on[:=-]", re.IGNORECASE), "hx-on is evaluated script; use a file"),
    (re.compile(r"javascript:", re.IGNORECASE), "javascript: address; use a file"),
)
IN_TAGS = (
    (re.compile(r"\|\s*safe\b|\|\s*safeseq\b"), "unescaped output; let the template escape"),
    (re.compile(r"{%\s*autoescape\s+off"), "unescaped output; let the template escape"),
)
COMMENT = re.compile(r"{#.*?#}|{%\s*comment.*?endcomment\s*%}|<!--.*?-->", re.DOTALL)
TEMPLATE_TAG = re.compile(r"{%.*?%}|{{.*?}}", re.DOTALL)

A_PAGE = re.compile(r"""{% extends "(?:base(?:_job|_phone)?|kit/_(?:plain|bare)_page)\.html" %}""")
A_BASE = re.compile(r"templates/(?:.*/)?_?(?:base\w*|\w+_page)\.html")
FIRST_LEVEL = re.compile(r"<h1\b|{% block heading %}")


def first_level_headings(source: Source) -> Iterator[str]:
    """A page has one heading of the first level; the bases leave it to the page."""
    text = COMMENT.sub(_only_line_ends, source.text)
    found = list(FIRST_LEVEL.finditer(text))
    if A_BASE.fullmatch(source.path):
        return
    wanted = 1 if A_PAGE.search(text) else 0
    if len(found) != wanted and "/print/" not in source.path:
        at = found[-1].start() if found else 0
        yield source.broken(
            text.count("\n", 0, at) + 1, f"{len(found)} first-level headings; {wanted} wanted"
        )


def refused_markup(source: Source) -> Iterator[str]:
    text = COMMENT.sub(_only_line_ends, source.text)
    markup = TEMPLATE_TAG.sub(_only_line_ends, text)
    for searched, patterns in ((markup, IN_MARKUP), (text, IN_TAGS)):
        for pattern, why in patterns:
            for found in pattern.finditer(searched):
                yield source.broken(searched.count("\n", 0, found.start()) + 1, why)


def _only_line_ends(found: re.Match[str]) -> str:
    return " " + "\n" * found.group().count("\n")
