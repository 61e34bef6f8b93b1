import re
import sys
from pathlib import Path

import pytest

from fitout.bootstrap import progress
from fitout.bootstrap.progress import CannotPrepare, run_quietly, step

pytestmark = pytest.mark.pure


def test_a_step_says_when_it_starts_and_how_long_it_took(
    capsys: pytest.CaptureFixture[str],
) -> None:
    with step("Prepare the database"):
        assert capsys.readouterr().out == "  Prepare the database ...\n"
    assert re.fullmatch(r"  Prepare the database: done in \d+\.\d s\n", capsys.readouterr().out)


def test_a_failed_step_says_so_and_lets_the_trouble_through(
    capsys: pytest.CaptureFixture[str],
) -> None:
    with pytest.raises(RuntimeError), step("Load"):
        raise RuntimeError
    assert re.fullmatch(r"  Load \.\.\.\n  Load: failed after \d+\.\d s\n", capsys.readouterr().out)


def test_a_long_step_says_that_it_is_still_going(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(progress, "STILL_GOING_AFTER_S", 0.02)
    with step("Install"):
        run_quietly([sys.executable, "-c", "import time; time.sleep(0.3)"], directory=Path.cwd())
    assert re.search(r"^  Install: \d+\.\d s so far$", capsys.readouterr().out, re.MULTILINE)


def test_output_of_a_command_is_kept_and_not_shown(capsys: pytest.CaptureFixture[str]) -> None:
    said = run_quietly([sys.executable, "-c", "print('ready')"], directory=Path.cwd())
    assert said == "ready\n"
    assert capsys.readouterr().out == ""


def test_what_a_command_says_of_its_progress_is_passed_on(
    capsys: pytest.CaptureFixture[str],
) -> None:
    run_quietly([sys.executable, "-c", "print('J-0139')"], directory=Path.cwd(), show=True)
    assert capsys.readouterr().out == "    J-0139\n"


def test_a_failed_command_is_shown_with_its_last_lines() -> None:
    program = "for n in range(100): print('line', n)\nraise SystemExit(3)"
    with pytest.raises(CannotPrepare) as trouble:
        run_quietly([sys.executable, "-c", program], directory=Path.cwd())
    lines = str(trouble.value).splitlines()
    assert lines[0].startswith(f"This failed: {sys.executable} -c")
    assert "line 99" in lines
    assert "line 75" in lines
    assert "line 74" not in lines
