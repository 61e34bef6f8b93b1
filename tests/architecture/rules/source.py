"""The files of the project, and a broken rule with its file and line."""

import ast
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
PACKAGES = ("catalogue", "electrical", "fitout", "quotes")
NOT_OURS = {
    *(".git", ".hypothesis", ".mypy_cache", ".pytest_cache", ".ruff_cache", ".venv"),
    *("__pycache__", "node_modules", "staticfiles", "var", "vendor"),
}


@dataclass(frozen=True)
class Source:
    """One file: `path` from the root, with forward slashes, and its text."""

    path: str
    text: str

    @property
    def module(self) -> str:
        return self.path.removesuffix(".py").removesuffix("/__init__").replace("/", ".")

    @property
    def package(self) -> str:
        return self.module if self.path.endswith("__init__.py") else self.module.rpartition(".")[0]

    @property
    def tree(self) -> ast.Module:
        return _parsed(self.path, self.text)

    @property
    def is_migration(self) -> bool:
        return "/migrations/" in self.path

    def broken(self, line: int, why: str) -> str:
        return f"{self.path}:{line}: {why}"


Rule = Callable[[Source], Iterable[str]]


@cache
def _parsed(path: str, text: str) -> ast.Module:
    return ast.parse(text, filename=path)


@cache
def sources(*suffixes: str) -> tuple[Source, ...]:
    found = []
    for path in sorted(ROOT.rglob("*")):
        relative = path.relative_to(ROOT)
        if NOT_OURS.intersection(relative.parts):
            continue
        if path.suffix in suffixes and path.is_file():
            found.append(Source(relative.as_posix(), path.read_text(encoding="utf-8")))
    return tuple(found)


def application_sources() -> list[Source]:
    return [source for source in sources(".py") if source.path.split("/")[0] in PACKAGES]


def templates() -> list[Source]:
    return [source for source in sources(".html", ".svg") if source.path.startswith("templates/")]


def all_broken(rule: Rule, where: Iterable[Source]) -> list[str]:
    return [line for source in where for line in rule(source)]
