import subprocess
import sys

import pytest

from fitout.bootstrap.environment import ROOT

pytestmark = pytest.mark.pure


def test_other_commands_are_djangos() -> None:
    done = subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), "version"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.startswith("5.2.")


def test_a_python_without_the_environment_finds_it(tmp_path: object) -> None:
    system = sys._base_executable  # type: ignore[attr-defined]
    done = subprocess.run(
        [system, "-S", str(ROOT / "manage.py"), "version"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.startswith("5.2.")
