"""`manage.py test`: set up what the tests need, and run them on either engine."""

import argparse
import os
import subprocess

from . import environment, machine
from .environment import ROOT
from .postgres import temporary_cluster

WHOLE_SUITE = ["-n", "2", "--dist", "loadscope"]


def run(arguments: list[str]) -> int:
    chosen, for_pytest = _parser().parse_known_args(arguments)
    prepare()
    if chosen.prepare_only:
        return 0
    command = [str(environment.python()), "-m", "pytest", *(for_pytest or WHOLE_SUITE)]
    if chosen.on == "sqlite":
        return _pytest(command, {})
    with temporary_cluster() as url:
        return _pytest(command, {"DATABASE_URL": url})


def prepare() -> None:
    needs = () if environment.exists() else machine.ENVIRONMENT
    machine.provide([*needs, *machine.PDF, *machine.TESTS])
    environment.build()
    environment.install(environment.TEST)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="manage.py test",
        description="Set up and run the tests. Anything else is passed on to pytest.",
    )
    parser.add_argument("--on", choices=("sqlite", "postgres"), default="sqlite")
    parser.add_argument(
        "--prepare-only", action="store_true", help="install what is needed, run nothing"
    )
    return parser


def _pytest(command: list[str], variables: dict[str, str]) -> int:
    kept = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    process = subprocess.Popen(command, cwd=ROOT, env={**kept, **variables})
    try:
        return process.wait()
    finally:
        if process.poll() is None:
            process.terminate()
            process.wait()
