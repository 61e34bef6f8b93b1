"""What a public function or dataclass of the electrical core says about itself.

One sentence will do where no quantity goes in. A function that takes quantities tells each with
its unit, what comes out, what it refuses, and the equation. A dataclass tells every field.
"""

import ast
import inspect
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tests.architecture.rules.conventions import Function
from tests.architecture.rules.source import Source

ORDER = (
    *("Parameters", "Attributes", "Returns", "Yields", "Raises"),
    *("Notes", "References", "Examples"),
)
HEADING = re.compile(r"^(\w[\w ]*)\n-{3,}$", re.MULTILINE)
ENTRY = re.compile(r"^(\*{0,2}\w+(?:, \*{0,2}\w+)*) *(?::.*)?$")
UNIT = re.compile(r"\[[^\]\n]+\]")
FLOAT = re.compile(r"\bfloat\b")
REFERENCE_USED = re.compile(r"\[(\d+)\]_")
REFERENCE_LISTED = re.compile(r"^\.\. \[(\d+)\]", re.MULTILINE)


@dataclass(frozen=True)
class Docstring:
    summary: str
    sections: dict[str, str]

    @classmethod
    def of(cls, node: Function | ast.ClassDef) -> "Docstring | None":
        text = ast.get_docstring(node, clean=False)
        if text is None:
            return None
        text = inspect.cleandoc(text)
        found = list(HEADING.finditer(text))
        sections = {
            heading.group(1): HEADING.split(text[heading.end() :], maxsplit=1)[0].strip("\n")
            for heading in found
        }
        return cls(summary=text.split("\n", 1)[0], sections=sections)

    def entries(self, section: str) -> dict[str, str]:
        """Each documented name with its type line and description."""
        entries: dict[str, str] = {}
        names: list[str] = []
        for line in self.sections.get(section, "").splitlines():
            heading = ENTRY.match(line)
            if heading and not line.startswith(" "):
                names = heading.group(1).replace("*", "").split(", ")
            for name in names:
                entries[name] = entries.get(name, "") + line + "\n"
        return entries


def incomplete_docstrings(source: Source) -> Iterator[str]:
    if not source.path.startswith("electrical/core/"):
        return
    for node in source.tree.body:
        if isinstance(node, Function) and not node.name.startswith("_"):
            yield from _of_function(source, node)
        elif isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            yield from _of_class(source, node)


def _of_function(source: Source, node: Function) -> Iterator[str]:
    doc = Docstring.of(node)
    if doc is None:
        yield source.broken(node.lineno, f"{node.name} has no docstring")
        return
    parameters = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
    typed = [(a.arg, a.annotation) for a in parameters]
    yield from _of_any(source, node, doc)
    if not any(_is_float(kind) for _, kind in typed):
        return
    yield from _undocumented(source, node, doc, "Parameters", typed)
    if _answers_something(node) and not {"Returns", "Yields"} & doc.sections.keys():
        yield source.broken(node.lineno, f"{node.name}: no section Returns")
    if _raises(node) and "Raises" not in doc.sections:
        yield source.broken(node.lineno, f"{node.name}: raises, but has no section Raises")
    if _has_an_equation(node) and "Notes" not in doc.sections:
        yield source.broken(node.lineno, f"{node.name}: computes, but has no Notes")


def _of_class(source: Source, node: ast.ClassDef) -> Iterator[str]:
    doc = Docstring.of(node)
    if doc is None:
        yield source.broken(node.lineno, f"{node.name} has no docstring")
        return
    yield from _of_any(source, node, doc)
    if not any("dataclass" in ast.unparse(decorator) for decorator in node.decorator_list):
        return
    fields = [
        (item.target.id, item.annotation)
        for item in node.body
        if isinstance(item, ast.AnnAssign)
        and isinstance(item.target, ast.Name)
        and not item.target.id.startswith("_")
        and "ClassVar" not in ast.unparse(item.annotation)
    ]
    section = "Attributes" if "Attributes" in doc.sections else "Parameters"
    yield from _undocumented(source, node, doc, section, fields)


def _of_any(source: Source, node: Function | ast.ClassDef, doc: Docstring) -> Iterator[str]:
    if not doc.summary.rstrip().endswith("."):
        yield source.broken(node.lineno, f"{node.name}: the first line is not a sentence")
    known = [name for name in doc.sections if name in ORDER]
    if known != sorted(known, key=ORDER.index):
        yield source.broken(node.lineno, f"{node.name}: sections out of order: {', '.join(known)}")
    text = ast.get_docstring(node) or ""
    missing = set(REFERENCE_USED.findall(text)) - set(REFERENCE_LISTED.findall(text))
    if missing:
        yield source.broken(node.lineno, f"{node.name}: no reference [{min(missing)}]")


def _undocumented(
    source: Source,
    node: Function | ast.ClassDef,
    doc: Docstring,
    section: str,
    typed: Sequence[tuple[str, ast.expr | None]],
) -> Iterator[str]:
    entries = doc.entries(section)
    for name, kind in typed:
        if name not in entries:
            yield source.broken(node.lineno, f"{node.name}: {name} is not in {section}")
        elif _is_float(kind) and not UNIT.search(entries[name]):
            yield source.broken(node.lineno, f"{node.name}: {name} has no [unit]")


def _is_float(annotation: ast.expr | None) -> bool:
    return annotation is not None and bool(FLOAT.search(ast.unparse(annotation)))


def _answers_something(node: Function) -> bool:
    return node.returns is not None and ast.unparse(node.returns) not in ("None", "NoReturn")


def _raises(node: Function) -> bool:
    return any(isinstance(part, ast.Raise) and part.exc is not None for part in ast.walk(node))


def _has_an_equation(node: Function) -> bool:
    return any(isinstance(part, ast.Mult | ast.Div | ast.Pow) for part in ast.walk(node))
