"""Where a rule may live, how apps may speak to each other, how long a piece may be."""

import ast
from collections.abc import Iterator

from tests.architecture.rules.layers import imported_names
from tests.architecture.rules.source import Source

WITHOUT_A_SUBJECT = {"common", "helper", "helpers", "misc", "service", "services", "util", "utils"}
SIGNALS = ("django.dispatch", "django.db.models.signals")
LONGEST_SOURCE = 400
LONGEST_TEMPLATE = 150
LONGEST_FUNCTION = 60
LONGEST_VIEW = 40

Function = ast.FunctionDef | ast.AsyncFunctionDef


def modules_without_a_subject(source: Source) -> Iterator[str]:
    for part in source.path.removesuffix(".py").split("/"):
        if WITHOUT_A_SUBJECT.intersection(part.split("_")):
            yield source.broken(1, f"“{part}” does not say what the module is about")


def signals(source: Source) -> Iterator[str]:
    for line, name in imported_names(source):
        if name.startswith(SIGNALS):
            yield source.broken(line, "apps call each other; they do not send signals")


def long_sources(source: Source) -> Iterator[str]:
    lines = source.text.count("\n")
    if lines > LONGEST_SOURCE:
        yield source.broken(lines, f"{lines} lines, at most {LONGEST_SOURCE}")


def long_templates(source: Source) -> Iterator[str]:
    lines = source.text.count("\n")
    if lines > LONGEST_TEMPLATE:
        yield source.broken(lines, f"{lines} lines, at most {LONGEST_TEMPLATE}")


def long_functions(source: Source) -> Iterator[str]:
    for node in ast.walk(source.tree):
        if not isinstance(node, Function):
            continue
        limit = LONGEST_VIEW if is_view(node) else LONGEST_FUNCTION
        lines = (node.end_lineno or node.lineno) - node.lineno + 1 - _docstring_lines(node)
        if lines > limit:
            yield source.broken(node.lineno, f"{node.name} has {lines} lines, at most {limit}")


def is_view(node: Function) -> bool:
    return bool(node.args.args) and node.args.args[0].arg == "request"


def _docstring_lines(node: Function) -> int:
    first = node.body[0]
    if ast.get_docstring(node, clean=False) is None:
        return 0
    return (first.end_lineno or first.lineno) - first.lineno + 1


def unescaped_html(source: Source) -> Iterator[str]:
    """mark_safe() over text put together on the spot is how markup gets into a page.

    Drawings are put together from text; their modules (`…svg.py`) escape in one function, and
    tests/web/test_every_form_bad_input.py looks at what comes out.
    """
    if source.path.endswith("svg.py"):
        return
    for node in ast.walk(source.tree):
        if not isinstance(node, ast.Call) or not node.args:
            continue
        name = node.func.id if isinstance(node.func, ast.Name) else ""
        if name in {"mark_safe", "SafeString"} and _is_put_together(node.args[0]):
            yield source.broken(node.lineno, f"{name}() of a formatted text; use format_html()")


def _is_put_together(node: ast.expr) -> bool:
    is_format = (
        isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and node.func.attr == "format"
    )
    return is_format or isinstance(node, ast.JoinedStr | ast.BinOp)
