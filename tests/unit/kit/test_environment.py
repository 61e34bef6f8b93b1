import os
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.pure

ROOT = Path(__file__).parents[3]
GOOD = {
    "FITOUT_ENV": "production",
    "SECRET_KEY": "k3y-" + "abcdefghijklmnopqrstuvwxyz0123456789" * 2,
    "ALLOWED_HOSTS": "fitout.example.org",
    "DATABASE_URL": "sqlite:////tmp/never-opened.sqlite3",
}
NAMES = (
    "FITOUT_ENV", "DEBUG", "SECRET_KEY", "ALLOWED_HOSTS", "CSRF_TRUSTED_ORIGINS", "DATABASE_URL",
    "TIME_ZONE", "WORK", "PROXIES", "HSTS_SECONDS", "HTTPS_REDIRECT", "SIGN_IN_TRIES",
    "DJANGO_SETTINGS_MODULE", "DJANGO_ALLOW_ASYNC_UNSAFE",
)  # fmt: skip


def start(arguments: list[str], **given: str) -> subprocess.CompletedProcess[str]:
    kept = {name: value for name, value in os.environ.items() if name not in NAMES}
    environment = {**kept, "DJANGO_SETTINGS_MODULE": "fitout.settings", **given}
    return subprocess.run(
        [sys.executable, *arguments],
        cwd=ROOT, env=environment, capture_output=True, text=True, check=False, timeout=120,
    )  # fmt: skip


def refusal(**given: str) -> str:
    done = start(["-c", "import fitout.settings"], **given)
    assert done.returncode != 0, "the settings were accepted"
    return done.stderr.strip().splitlines()[-1]


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"FITOUT_ENV": "staging"}, "FITOUT_ENV: write development or production, not 'staging'."),
        ({"DEBUG": "perhaps"}, "DEBUG: write true or false."),
        ({**GOOD, "DEBUG": "true"}, "DEBUG: must be false when FITOUT_ENV is production."),
        ({**GOOD, "SECRET_KEY": ""}, "SECRET_KEY: set it in production"),
        ({**GOOD, "SECRET_KEY": "short"}, "SECRET_KEY: 50 characters at least, not 5."),
        ({**GOOD, "SECRET_KEY": "a" * 60}, "SECRET_KEY: 5 different characters at least"),
        ({"DEBUG": "false"}, "SECRET_KEY: set it in production"),
        ({**GOOD, "ALLOWED_HOSTS": ""}, "ALLOWED_HOSTS: name the hosts"),
        ({**GOOD, "ALLOWED_HOSTS": "*"}, "ALLOWED_HOSTS: * answers to any name"),
        (
            {**GOOD, "ALLOWED_HOSTS": "https://x.org"},
            "ALLOWED_HOSTS: 'https://x.org' is not a host",
        ),
        ({"CSRF_TRUSTED_ORIGINS": "x.org"}, "CSRF_TRUSTED_ORIGINS: 'x.org' must be like"),
        ({"DATABASE_URL": "oracle://x/y"}, "DATABASE_URL: "),
        ({"TIME_ZONE": "Mars/Base"}, "TIME_ZONE: 'Mars/Base' is not a time zone"),
        ({"WORK": "later"}, "WORK: write worker or request, not 'later'."),
        ({"PROXIES": "many"}, "PROXIES: write a whole number."),
        ({"PROXIES": "9"}, "PROXIES: from 0 to 5, not 9."),
        ({**GOOD, "HSTS_SECONDS": "-1"}, "HSTS_SECONDS: from 0 to"),
        ({**GOOD, "HTTPS_REDIRECT": "x"}, "HTTPS_REDIRECT: write true or false."),
        ({"SIGN_IN_TRIES": "1"}, "SIGN_IN_TRIES: from 3 to 100, not 1."),
    ],
)
def test_nonsense_is_refused_at_start_with_the_name_of_the_setting(
    given: dict[str, str], message: str
) -> None:
    assert f"Fitout cannot start. {message}" in refusal(**given)


def test_production_settings_pass_the_deployment_check() -> None:
    done = start(
        ["-m", "django", "check", "--deploy", "--fail-level", "WARNING"], **GOOD, PROXIES="1"
    )
    assert done.returncode == 0, done.stderr
    assert "no issues" in done.stdout


def test_it_starts_for_trying_out_with_nothing_set() -> None:
    assert start(["-c", "import fitout.settings"]).returncode == 0
