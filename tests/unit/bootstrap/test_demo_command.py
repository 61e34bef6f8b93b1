import socket

import pytest

from fitout.bootstrap import commands, demo
from fitout.bootstrap.environment import ROOT

pytestmark = pytest.mark.pure


def test_the_demo_never_loads_into_a_database_in_use(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DATABASE_URL", "postgres://fitout@db/fitout")
    assert demo.demo_settings()["DATABASE_URL"] == f"sqlite:///{ROOT}/var/demo.sqlite3"


@pytest.mark.parametrize("port", ["0", "65536", "-1", "web", "80.5", ""])
def test_a_port_that_is_none_is_refused(port: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        demo.run(["--port", port])
    assert f"a port is a whole number from 1 to 65535, not '{port}'" in capsys.readouterr().err


def test_a_taken_port_is_named_before_anything_is_set_up(
    capsys: pytest.CaptureFixture[str],
) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        code = commands.main(["manage.py", "demo", "--port", str(port)])
    said = capsys.readouterr()
    assert code == 1
    assert said.out == ""
    assert f"Port {port} cannot be used (Address already in use)." in said.err
