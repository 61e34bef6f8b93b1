"""Who may do what: role x action x stage of the job, in one registry.

Each app lists its rows in its own `access.py` and hands them over from
`AppConfig.ready()` with `register(ACTIONS, URLS)`. A URL without a row is refused.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.core.exceptions import ImproperlyConfigured, PermissionDenied
from django.http import HttpRequest

from .roles import Role

if TYPE_CHECKING:
    from .models import User

OWNER = frozenset({Role.OWNER})
OFFICE = frozenset({Role.OWNER, Role.ESTIMATOR})
STAFF = frozenset(Role)


@dataclass(frozen=True)
class Rule:
    """Roles that may act; the job stages in which they may (None: all); or anybody at all."""

    roles: Iterable[str] = ()
    stages: Iterable[str] | None = None
    public: bool = False

    def allows(self, role: str | None, stage: str | None) -> bool:
        if self.public:
            return True
        if role not in set(self.roles):
            return False
        return stage is None or self.stages is None or stage in set(self.stages)


PUBLIC = Rule(public=True)

RULES: dict[str, Rule] = {}
URL_ACTIONS: dict[str, str] = {}


def register(actions: Mapping[str, Rule], urls: Mapping[str, str]) -> None:
    for action, rule in actions.items():
        if RULES.setdefault(action, rule) != rule:
            raise ImproperlyConfigured(f"access: action {action!r} has two different rules")
    for name, action in urls.items():
        if action not in RULES:
            raise ImproperlyConfigured(f"access: URL {name!r} names unknown action {action!r}")
        if URL_ACTIONS.setdefault(name, action) != action:
            raise ImproperlyConfigured(f"access: URL {name!r} has two different actions")


def can(user: Any, action: str, stage: str | None = None) -> bool:
    role = getattr(user, "role", None) if getattr(user, "is_active", False) else None
    return RULES[action].allows(role, stage)


def require(user: Any, action: str, stage: str | None = None) -> None:
    if not can(user, action, stage):
        raise PermissionDenied(action)


def signed_in(request: HttpRequest) -> User:
    """The person behind the request, for views the middleware lets only people into."""
    if not request.user.is_authenticated:
        raise PermissionDenied("signed in")
    return request.user


def sees_money(user: Any) -> bool:
    """Cost, sell and margin are for the owner and the estimator; nobody else, signed in or not."""
    return bool(getattr(user, "is_active", False) and getattr(user, "sees_money", False))
