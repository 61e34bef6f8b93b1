"""Programs and libraries of the system, and the Debian packages that bring them."""

import ctypes
import importlib.util
import os
import shutil
import subprocess
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from .environment import ROOT
from .progress import CannotPrepare, run_quietly, step

POSTGRES_PROGRAMS = Path("/usr/lib/postgresql")
OLDEST_POSTGRES = 15


@dataclass(frozen=True)
class Need:
    """Something of the system; `is_met` looks for the thing itself, not for the package."""

    name: str
    packages: tuple[str, ...]
    is_met: Callable[[], bool]


def has_module(name: str) -> bool:
    importlib.invalidate_caches()
    return importlib.util.find_spec(name) is not None


def has_library(name: str) -> bool:
    try:
        ctypes.CDLL(name)
    except OSError:
        return False
    return True


def has_program(*names: str) -> bool:
    """Whether one of the programs is on PATH."""
    return any(shutil.which(name) for name in names)


def postgres_programs() -> Path | None:
    """The folder of the newest PostgreSQL server's programs, not too old for the application."""
    versions = [
        (int(folder.name), folder / "bin")
        for folder in POSTGRES_PROGRAMS.glob("*")
        if folder.name.isdigit() and (folder / "bin" / "initdb").exists()
    ]
    recent = [entry for entry in versions if entry[0] >= OLDEST_POSTGRES]
    if recent:
        return max(recent)[1]
    on_path = shutil.which("initdb")
    return Path(on_path).resolve().parent if on_path else None


ENVIRONMENT = (Need("Python's venv", ("python3-venv",), lambda: has_module("ensurepip")),)
PDF = (
    Need(
        "Pango (draws the text in PDFs)",
        ("libpango-1.0-0", "libpangoft2-1.0-0", "libharfbuzz-subset0"),
        lambda: all(
            has_library(name)
            for name in ("libpango-1.0.so.0", "libpangoft2-1.0.so.0", "libharfbuzz-subset.so.0")
        ),
    ),
    Need("Fontconfig (finds fonts)", ("fontconfig",), lambda: has_program("fc-match")),
)
TESTS = (
    Need("Chromium", ("chromium",), lambda: has_program("chromium", "chromium-browser")),
    Need("PostgreSQL's server", ("postgresql",), lambda: postgres_programs() is not None),
    Need("ngspice", ("ngspice",), lambda: has_program("ngspice")),
    Need("Poppler's tools", ("poppler-utils",), lambda: has_program("pdftotext", "pdftoppm")),
)


def provide(needs: Sequence[Need]) -> None:
    """Install what is missing, where that is allowed; else say exactly what to install."""
    missing = [need for need in needs if not need.is_met()]
    if not missing:
        return
    packages = [package for need in missing for package in need.packages]
    names = ", ".join(need.name for need in missing)
    apt = _apt()
    if apt is None:
        raise CannotPrepare(_what_to_install(names, packages))
    with step(f"Install {names}"):
        _install(apt, packages)
    still = [need.name for need in missing if not need.is_met()]
    if still:
        raise CannotPrepare(_what_to_install(", ".join(still), packages))


def _install(apt: list[str], packages: list[str]) -> None:
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    install = [*apt, "install", "--yes", "--no-install-recommends", *packages]
    try:
        run_quietly(install, directory=ROOT, environment=environment)
    except CannotPrepare:
        # The usual reason on a fresh machine: it has no list of packages yet, or an old one.
        run_quietly([*apt, "update"], directory=ROOT, environment=environment)
        run_quietly(install, directory=ROOT, environment=environment)


def _apt() -> list[str] | None:
    """How to run apt-get without being asked anything, or None where that is not possible."""
    if not has_program("apt-get"):
        return None
    if os.geteuid() == 0:
        return ["apt-get"]
    if has_program("sudo"):
        asked = subprocess.run(["sudo", "-n", "true"], capture_output=True, check=False)
        if asked.returncode == 0:
            return ["sudo", "-n", "DEBIAN_FRONTEND=noninteractive", "apt-get"]
    return None


def _what_to_install(names: str, packages: list[str]) -> str:
    return (
        f"This machine lacks {names}. Install it, then run the same command again:\n"
        f"  sudo apt-get update && sudo apt-get install {' '.join(packages)}"
    )
