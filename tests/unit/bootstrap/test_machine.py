import os
import subprocess
from collections.abc import Sequence
from pathlib import Path

import pytest

from fitout.bootstrap import machine
from fitout.bootstrap.machine import Need, provide
from fitout.bootstrap.progress import CannotPrepare

pytestmark = pytest.mark.pure


class Apt:
    """Stands for the machine's package installer and remembers what it was told."""

    def __init__(self, *, brings: bool = True, knows_packages: bool = True) -> None:
        self.told: list[list[str]] = []
        self.brings = brings
        self.knows_packages = knows_packages
        self.has_brought = False

    def run(self, command: Sequence[str], **_: object) -> str:
        self.told.append(list(command))
        if "update" in command:
            self.knows_packages = True
        elif not self.knows_packages:
            raise CannotPrepare("Unable to locate package")
        else:
            self.has_brought = self.brings
        return ""

    def need(self) -> Need:
        return Need("Chromium", ("chromium",), lambda: self.has_brought)


@pytest.fixture
def as_root(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    monkeypatch.setattr(machine, "has_program", lambda *names: names == ("apt-get",))


def test_what_is_there_is_not_installed_again(
    monkeypatch: pytest.MonkeyPatch, as_root: None
) -> None:
    apt = Apt()
    monkeypatch.setattr(machine, "run_quietly", apt.run)
    provide([Need("Python", ("python3",), lambda: True)])
    assert apt.told == []


def test_what_is_missing_is_installed_without_asking(
    monkeypatch: pytest.MonkeyPatch, as_root: None
) -> None:
    apt = Apt()
    monkeypatch.setattr(machine, "run_quietly", apt.run)
    provide([apt.need()])
    assert apt.told == [["apt-get", "install", "--yes", "--no-install-recommends", "chromium"]]


def test_a_fresh_machine_first_gets_its_list_of_packages(
    monkeypatch: pytest.MonkeyPatch, as_root: None
) -> None:
    apt = Apt(knows_packages=False)
    monkeypatch.setattr(machine, "run_quietly", apt.run)
    provide([apt.need()])
    assert [command[1] for command in apt.told] == ["install", "update", "install"]


@pytest.mark.parametrize("programs", [(), ("apt-get",), ("apt-get", "sudo")])
def test_where_nothing_may_be_installed_it_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch, programs: tuple[str, ...]
) -> None:
    def refuse(*_: object, **__: object) -> subprocess.CompletedProcess[bytes]:
        return subprocess.CompletedProcess([], returncode=1)

    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    monkeypatch.setattr(machine, "has_program", lambda name: name in programs)
    monkeypatch.setattr(subprocess, "run", refuse)
    with pytest.raises(CannotPrepare) as trouble:
        provide([Apt().need(), Need("ngspice", ("ngspice",), lambda: False)])
    assert str(trouble.value) == (
        "This machine lacks Chromium, ngspice. Install it, then run the same command again:\n"
        "  sudo apt-get update && sudo apt-get install chromium ngspice"
    )


def test_an_installation_that_brought_nothing_is_not_taken_for_success(
    monkeypatch: pytest.MonkeyPatch, as_root: None
) -> None:
    monkeypatch.setattr(machine, "run_quietly", Apt(brings=False).run)
    with pytest.raises(CannotPrepare, match="lacks Chromium"):
        provide([Apt(brings=False).need()])


def test_the_newest_server_not_older_than_15_is_used(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(machine, "POSTGRES_PROGRAMS", tmp_path)
    for version in ("9", "14", "15", "16"):
        programs = tmp_path / version / "bin"
        programs.mkdir(parents=True)
        (programs / "initdb").touch()
    (tmp_path / "17" / "bin").mkdir(parents=True)
    assert machine.postgres_programs() == tmp_path / "16" / "bin"
