"""Nothing of the machine a change was made on, and nothing left to do later, is committed."""

import re
from collections.abc import Iterator

from tests.architecture.rules.source import ROOT, Source

REFUSED = (
    (re.compile(rf"{re.escape(str(ROOT))}(?![\w-])"), "path of this machine"),
    (re.compile(r"(?<![\w.])/(?:root|home/\w+|Users/\w+)/"), "path of a machine"),
    (
        re.compile(r"(?:extra-)?index-url|find-links|trusted-host", re.IGNORECASE),
        "where packages come from is the machine's own setting",
    ),
    (re.compile(r"\b(?:TODO|FIXME|XXX|HACK)\b"), "left to do later; do it, or file it"),
    (re.compile(r"\blorem ipsum\b", re.IGNORECASE), "filler text"),
    (re.compile(r"\b(?:DESIGN|LOOK|STYLE)\.md\b"), "a document that is not in the repository"),
)
# This file and its test spell out what they look for.
SPELLED_OUT_IN = ("tests/architecture/",)


def refused_words(source: Source) -> Iterator[str]:
    if source.path.startswith(SPELLED_OUT_IN):
        return
    for number, line in enumerate(source.text.splitlines(), start=1):
        for pattern, why in REFUSED:
            if pattern.search(line):
                yield source.broken(number, why)
