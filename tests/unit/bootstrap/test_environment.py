from collections.abc import Sequence
from pathlib import Path

import pytest

from fitout.bootstrap import environment
from fitout.bootstrap.progress import CannotPrepare

pytestmark = pytest.mark.pure


@pytest.fixture
def installed(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> list[str]:
    """A project of its own; answers the requirements files given to pip."""
    told: list[str] = []

    def remember(command: Sequence[str | Path], **_: object) -> str:
        told.append(Path(command[-1]).name)
        return ""

    monkeypatch.setattr(environment, "FOLDER", tmp_path)
    monkeypatch.setattr(environment, "RUN_TIME", tmp_path / "requirements.txt")
    monkeypatch.setattr(environment, "TEST", tmp_path / "requirements-test.txt")
    monkeypatch.setattr(environment, "run_quietly", remember)
    environment.RUN_TIME.write_text("Django==5.2\n")
    environment.TEST.write_text("pytest\n")
    return told


def test_the_same_requirements_are_installed_once(installed: list[str]) -> None:
    environment.install(environment.RUN_TIME)
    environment.install(environment.RUN_TIME)
    assert installed == ["requirements.txt"]


def test_changed_requirements_are_installed_again(installed: list[str]) -> None:
    environment.install(environment.TEST)
    environment.RUN_TIME.write_text("Django==5.3\n")
    environment.install(environment.TEST)
    assert installed == ["requirements-test.txt", "requirements-test.txt"]


def test_a_failed_installation_is_tried_again(
    installed: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object, **__: object) -> str:
        raise CannotPrepare("no network")

    with monkeypatch.context() as offline:
        offline.setattr(environment, "run_quietly", fail)
        with pytest.raises(CannotPrepare):
            environment.install(environment.RUN_TIME)
    environment.install(environment.RUN_TIME)
    assert installed == ["requirements.txt"]


def test_who_has_the_test_requirements_has_the_run_time_ones(installed: list[str]) -> None:
    environment.install(environment.TEST)
    environment.install(environment.RUN_TIME)
    assert installed == ["requirements-test.txt"]
