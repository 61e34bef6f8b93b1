"""Lower layers never import higher ones; the core imports nothing but the standard library."""

import ast
import sys
from collections.abc import Iterator

from tests.architecture.rules.source import PACKAGES, Source

# From the lowest up. A module belongs to the longest entry that its name starts with.
LAYERS = (
    "electrical.core",
    "fitout.kit",
    "catalogue",
    "fitout.jobs",
    "electrical",
    "quotes",
    "fitout.purchasing",
    "fitout.workshop",
    "fitout.handover",
    "fitout",
)
APP_LABELS = {
    "kit": "fitout.kit",
    "jobs": "fitout.jobs",
    "purchasing": "fitout.purchasing",
    "workshop": "fitout.workshop",
    "handover": "fitout.handover",
    "catalogue": "catalogue",
    "electrical": "electrical",
    "quotes": "quotes",
    "fitout": "fitout",
}
NAMED_BY_TEXT = {
    "ForeignKey",
    "ManyToManyField",
    "OneToOneField",
    "get_model",
    "import_module",
    "import_string",
}
CORE = "electrical.core"
BOOTSTRAP = "fitout.bootstrap"
NUMERIC_PART = "electrical.core.energy"


def imports_upwards(source: Source) -> Iterator[str]:
    own = layer_of(source.module)
    if own is None:
        return
    for line, name in [*imported_names(source), *names_in_text(source.tree)]:
        other = layer_of(name)
        if other is not None and LAYERS.index(other) > LAYERS.index(own):
            yield source.broken(line, f"{own} is below {other} and may not use {name}")


def imports_beyond_the_standard_library(source: Source) -> Iterator[str]:
    """For the core, and for what runs before the environment exists."""
    area = next((a for a in (CORE, BOOTSTRAP) if _is_within(source.module, a)), None)
    if area is None:
        return
    for line, name in imported_names(source, only_at_import_time=area == BOOTSTRAP):
        allowed = (
            name.partition(".")[0] in sys.stdlib_module_names
            or _is_within(name, area)
            or (name.partition(".")[0] == "numpy" and _is_within(source.module, NUMERIC_PART))
        )
        if not allowed:
            yield source.broken(line, f"{area} may use the standard library only, not {name}")


def imports_of_tests(source: Source) -> Iterator[str]:
    for line, name in imported_names(source):
        if _is_within(name, "tests"):
            yield source.broken(line, f"the application may not use {name}")


def layer_of(module: str) -> str | None:
    holders = [layer for layer in LAYERS if _is_within(module, layer)]
    return max(holders, key=len) if holders else None


def imported_names(
    source: Source, *, only_at_import_time: bool = False
) -> Iterator[tuple[int, str]]:
    nodes = source.tree.body if only_at_import_time else ast.walk(source.tree)
    for node in nodes:
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield node.lineno, alias.name
        elif isinstance(node, ast.ImportFrom):
            base = _absolute(node, source.package)
            # `from fitout import quotes` names a module in the alias, not in the base.
            for alias in node.names:
                yield node.lineno, f"{base}.{alias.name}" if base in PACKAGES else base


def names_in_text(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Models and modules named by a string, as in ForeignKey("quotes.Quote")."""
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call) or _called(node) not in NAMED_BY_TEXT:
            continue
        for argument in [*node.args[:1], *(k.value for k in node.keywords if k.arg == "to")]:
            if isinstance(argument, ast.Constant) and isinstance(argument.value, str):
                label, dot, rest = argument.value.partition(".")
                if dot and label in APP_LABELS and not rest[:1].islower():
                    yield node.lineno, f"{APP_LABELS[label]}.{rest}"
                else:
                    yield node.lineno, argument.value


def _called(node: ast.Call) -> str:
    if isinstance(node.func, ast.Attribute):
        return node.func.attr
    return node.func.id if isinstance(node.func, ast.Name) else ""


def _absolute(node: ast.ImportFrom, package: str) -> str:
    if not node.level:
        return node.module or ""
    parts = package.split(".")
    base = parts[: len(parts) - node.level + 1]
    return ".".join([*base, *([node.module] if node.module else [])])


def _is_within(module: str, area: str) -> bool:
    return module == area or module.startswith(f"{area}.")
