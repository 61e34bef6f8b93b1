"""Settings that come from the environment, read once and refused when they are nonsense."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any
from zoneinfo import available_timezones

from django.core.exceptions import ImproperlyConfigured
from environs import Env, EnvError

from .database import BadDatabaseUrl, database_from

DEVELOPMENT_KEY = "development-only-key-never-used-in-production-0123456789"
SHORTEST_KEY = 50
PLACES = ("development", "production")
HOST = re.compile(r"^(\*|\.?[a-z0-9.-]+|\[[0-9a-f:]+\])$", re.IGNORECASE)

env = Env()


def refuse(message: str) -> ImproperlyConfigured:
    return ImproperlyConfigured(f"Fitout cannot start. {message}")


def flag(name: str, default: bool) -> bool:  # noqa: FBT001
    try:
        return bool(env.bool(name, default))
    except EnvError as error:
        raise refuse(f"{name}: write true or false.") from error


def whole(name: str, default: int, *, low: int, high: int) -> int:
    try:
        value = int(env.int(name, default))
    except EnvError as error:
        raise refuse(f"{name}: write a whole number.") from error
    if not low <= value <= high:
        raise refuse(f"{name}: from {low} to {high}, not {value}.")
    return value


def is_production() -> bool:
    """Production by name, or by switching DEBUG off."""
    place = env.str("FITOUT_ENV", "")
    if place and place not in PLACES:
        raise refuse(f"FITOUT_ENV: write {' or '.join(PLACES)}, not {place!r}.")
    debug = flag("DEBUG", default=place != "production")
    if place == "production" and debug:
        raise refuse("DEBUG: must be false when FITOUT_ENV is production.")
    return place == "production" or not debug


def secret_key(*, production: bool) -> str:
    key = str(env.str("SECRET_KEY", "" if production else DEVELOPMENT_KEY))
    if not production:
        return key or DEVELOPMENT_KEY
    if not key:
        raise refuse("SECRET_KEY: set it in production; 50 random characters or more.")
    if key == DEVELOPMENT_KEY or key.startswith("django-insecure-"):
        raise refuse("SECRET_KEY: the development key is not for production.")
    if len(key) < SHORTEST_KEY:
        raise refuse(f"SECRET_KEY: {SHORTEST_KEY} characters at least, not {len(key)}.")
    if len(set(key)) < 5:
        raise refuse("SECRET_KEY: 5 different characters at least; make it random.")
    return key


def allowed_hosts(*, production: bool) -> list[str]:
    local = ["localhost", "127.0.0.1", "[::1]"]
    hosts = [h.strip() for h in env.list("ALLOWED_HOSTS", [] if production else local) if h.strip()]
    for host in hosts:
        if not HOST.match(host):
            raise refuse(f"ALLOWED_HOSTS: {host!r} is not a host name; no scheme, port or path.")
    if production and not hosts:
        raise refuse("ALLOWED_HOSTS: name the hosts this site answers to, split by commas.")
    if production and "*" in hosts:
        raise refuse("ALLOWED_HOSTS: * answers to any name; list the names.")
    return hosts


def task_backend(*, production: bool) -> str:
    """Who does the long work: `manage.py worker`, or, while trying things out, the request."""
    who = env.str("WORK", "worker" if production else "request")
    backends = {
        "worker": "django_tasks_db.DatabaseBackend",
        "request": "django_tasks.backends.immediate.ImmediateBackend",
    }
    if who not in backends:
        raise refuse(f"WORK: write worker or request, not {who!r}.")
    return backends[who]


def trusted_origins() -> list[str]:
    given: list[str] = env.list("CSRF_TRUSTED_ORIGINS", [])
    origins = [origin.strip() for origin in given if origin.strip()]
    for origin in origins:
        if not re.match(r"^https?://[^/]+$", origin):
            raise refuse(f"CSRF_TRUSTED_ORIGINS: {origin!r} must be like https://shop.example.org.")
    return origins


def database(base_dir: Path) -> dict[str, Any]:
    url = env.str("DATABASE_URL", "")
    if not url:
        (base_dir / "var").mkdir(exist_ok=True)
        url = f"sqlite:///{base_dir / 'var' / 'fitout.sqlite3'}"
    try:
        return database_from(url)
    except BadDatabaseUrl as error:
        raise refuse(f"{error}.") from error


def time_zone() -> str:
    name = str(env.str("TIME_ZONE", "Europe/Lisbon"))
    if name not in available_timezones():
        raise refuse(f"TIME_ZONE: {name!r} is not a time zone such as Europe/Lisbon.")
    return name
