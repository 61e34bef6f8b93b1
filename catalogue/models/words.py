"""Rows found by words: every word stands somewhere in what is searched."""

from __future__ import annotations

from collections.abc import Iterator

from django.db.models import Q

MOST_WORDS, LONGEST_WORD = 8, 40


def words_of(text: str) -> Iterator[str]:
    for word in text.split()[:MOST_WORDS]:
        yield word[:LONGEST_WORD]


def every_word(text: str, *columns: str) -> Q:
    """A condition that each word of the text is held by one of the columns."""
    found = Q()
    for word in words_of(text):
        anywhere = Q()
        for column in columns:
            anywhere |= Q(**{f"{column}__icontains": word})
        found &= anywhere
    return found
