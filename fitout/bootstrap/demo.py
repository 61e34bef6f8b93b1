"""`manage.py demo`: from a fresh machine to the demo in a browser."""

import argparse
import os
import socket
from pathlib import Path

from . import children, environment, machine
from .environment import ROOT
from .progress import CannotPrepare, run_quietly, step

VAR = ROOT / "var"
DATABASE = VAR / "demo.sqlite3"
DOCUMENTS = VAR / "demo"
PASSWORD = "lantern-demo"  # noqa: S105 - public on purpose, for the demo's people only
PEOPLE = (
    ("owner", "maren", "everything"),
    ("estimator", "tiago", "everything but users and settings"),
    ("technician", "ines", "own tasks, circuits and parts to pick; no money (also: bram, suri)"),
)


def run(arguments: list[str]) -> int:
    chosen = _parser().parse_args(arguments)
    if chosen.serve:
        _require_free(chosen.port)
    print("Fitout: setting up the demo", flush=True)
    machine.provide([*_environment_needs(), *machine.PDF])
    environment.build()
    environment.install(environment.RUN_TIME)
    settings = demo_settings()
    _load(settings)
    _say_where_things_are()
    if not chosen.serve:
        return 0
    return _serve(chosen.port, settings)


def demo_settings() -> dict[str, str]:
    """The demo has a database of its own: it never loads into one that is in use."""
    return {
        **os.environ,
        "DEBUG": "true",
        "DATABASE_URL": f"sqlite:///{DATABASE}",
        "FITOUT_ENV": "development",
        "WORK": "worker",
        "ALLOWED_HOSTS": "localhost,127.0.0.1,[::1]",
        "DJANGO_SETTINGS_MODULE": "fitout.settings",
        "DJANGO_RUNSERVER_HIDE_WARNING": "true",
        "PYTHONUNBUFFERED": "1",
    }


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="manage.py demo", description="Set up, load the demo workshop and serve it."
    )
    parser.add_argument(
        "--no-serve",
        dest="serve",
        action="store_false",
        help="stop after writing the demo's documents",
    )
    parser.add_argument("--port", type=_port, default=8000, help="port to serve on (8000)")
    return parser


def _port(text: str) -> int:
    if not text.isdigit() or not 1 <= int(text) <= 65535:
        raise argparse.ArgumentTypeError(f"a port is a whole number from 1 to 65535, not {text!r}")
    return int(text)


def _require_free(port: int) -> None:
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", port))
        except OSError as trouble:
            raise CannotPrepare(
                f"Port {port} cannot be used ({trouble.strerror}). Choose another one, "
                f"for example: python3 manage.py demo --port {port % 60000 + 1024}"
            ) from trouble


def _environment_needs() -> tuple[machine.Need, ...]:
    return () if environment.exists() else machine.ENVIRONMENT


def _load(settings: dict[str, str]) -> None:
    VAR.mkdir(exist_ok=True)
    DOCUMENTS.mkdir(exist_ok=True)
    _django("Prepare the database", settings, "migrate", "--no-input", "--verbosity", "0")
    _django("Load the demo workshop", settings, "load_demo")
    _django("Write its documents", settings, "write_documents", str(DOCUMENTS))


def _django(name: str, settings: dict[str, str], *command: str) -> None:
    with step(name):
        run_quietly(
            [environment.python(), ROOT / "manage.py", *command],
            directory=ROOT,
            environment=settings,
            show=True,
        )


def _say_where_things_are() -> None:
    print(f"\nDocuments, in {_short(DOCUMENTS)}/:")
    for document in sorted(path for path in DOCUMENTS.rglob("*") if path.is_file()):
        print(f"  {document.relative_to(DOCUMENTS)}")
    print(f"\nSign in with the password {PASSWORD} as:")
    for role, username, sees in PEOPLE:
        print(f"  {username:<7} {role}: {sees}")
    print(flush=True)


def _short(path: Path) -> str:
    return str(path.relative_to(Path.cwd())) if path.is_relative_to(Path.cwd()) else str(path)


def _serve(port: int, settings: dict[str, str]) -> int:
    manage = [str(environment.python()), str(ROOT / "manage.py")]
    commands = {
        "worker": [*manage, "worker"],
        "server": [*manage, "runserver", "--noreload", f"127.0.0.1:{port}"],
    }
    with children.running(commands, directory=ROOT, environment=settings) as started:
        if children.answers(port, started):
            print(
                f"\nOpen http://localhost:{port}/ in a browser. Ctrl-C stops everything.\n",
                flush=True,
            )
        name, code = children.first_to_end(started)
    print(f"The {name} ended by itself (code {code}), so the rest was stopped too.")
    return code or 1
