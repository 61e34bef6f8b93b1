"""The project's own Python environment in `.venv`."""

import hashlib
import shutil
import subprocess
import sys
from pathlib import Path

from .progress import run_quietly, step

ROOT = Path(__file__).resolve().parents[2]
FOLDER = ROOT / ".venv"
RUN_TIME = ROOT / "requirements.txt"
TEST = ROOT / "requirements-test.txt"


def python() -> Path:
    return FOLDER / "bin" / "python"


def exists() -> bool:
    return python().exists()


def is_active() -> bool:
    return Path(sys.prefix).resolve() == FOLDER.resolve()


def build() -> None:
    """Make `.venv`, again if the Python it was made with has gone."""
    if _works():
        return
    with step("Build the Python environment in .venv"):
        if FOLDER.exists():
            shutil.rmtree(FOLDER)
        run_quietly([sys.executable, "-m", "venv", FOLDER], directory=ROOT)


def install(requirements: Path) -> None:
    """Install what a requirements file names, unless exactly that was installed before."""
    wanted = _fingerprint()
    # The test requirements include the run-time ones.
    if wanted in (_installed(TEST), _installed(requirements)):
        return
    with step(f"Install the Python packages of {requirements.name}"):
        pip: list[str | Path] = [
            python(),
            "-m",
            "pip",
            "install",
            "--quiet",
            "--disable-pip-version-check",
        ]
        run_quietly([*pip, "--requirement", requirements], directory=ROOT)
    _stamp(requirements).write_text(wanted)


def _works() -> bool:
    if not exists():
        return False
    question = "import sys, pip; sys.exit(sys.version_info < (3, 11))"
    answer = subprocess.run([python(), "-c", question], capture_output=True, check=False)
    return answer.returncode == 0


def _stamp(requirements: Path) -> Path:
    return FOLDER / f"installed-{requirements.stem}"


def _installed(requirements: Path) -> str:
    stamp = _stamp(requirements)
    return stamp.read_text() if stamp.exists() else ""


def _fingerprint() -> str:
    content = RUN_TIME.read_bytes() + b"\0" + TEST.read_bytes()
    return hashlib.sha256(content).hexdigest()
