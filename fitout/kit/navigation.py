"""The register above every page and the views of a job, by what a person may see.

A place is shown when its address exists and the access policy lets the person in.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.urls import Resolver404, get_script_prefix, resolve

from . import access


@dataclass(frozen=True)
class Place:
    word: str
    path: str
    key: str = ""
    current: bool = False


REGISTER = (
    Place("Jobs", ""),
    Place("Customers", "customers/"),
    Place("Parts", "parts/"),
    Place("Kits", "kits/"),
    Place("Suppliers", "suppliers/"),
    Place("Labour", "labour/"),
    Place("Orders", "orders/"),
    Place("Work", "work/"),
    Place("People", "people/"),
)

JOB_VIEWS = (
    Place("Build sheet", "", "B"),
    Place("Hull plan", "hull/", "H"),
    Place("Wiring", "wiring/", "W"),
    Place("Estimate", "estimate/", "E"),
    Place("Quotes", "quotes/", "Q"),
    Place("Orders", "orders/", "O"),
    Place("Tasks", "tasks/", "T"),
    Place("Handover", "handover/", "D"),
)


def register_for(user: Any, path: str) -> list[Place]:
    return _shown(user, REGISTER, get_script_prefix(), path, root_also="jobs/")


def job_views_for(user: Any, number: int, path: str, stage: str | None = None) -> list[Place]:
    root = f"{get_script_prefix()}jobs/{number}/"
    others = [root + view.path for view in JOB_VIEWS if view.path]
    on_first = path.startswith(root) and not any(path.startswith(other) for other in others)
    shown = _shown(user, JOB_VIEWS, root, path, stage=stage)
    return [_marked(place, current=on_first) if place.path == root else place for place in shown]


def _shown(
    user: Any,
    places: tuple[Place, ...],
    root: str,
    path: str,
    *,
    stage: str | None = None,
    root_also: str = "",
) -> list[Place]:
    found = []
    for place in places:
        target = root + place.path
        if may_open(user, target, stage):
            here = _is_here(path, target, root, root_also)
            found.append(Place(place.word, target, place.key, here))
    return found


def _is_here(path: str, target: str, root: str, root_also: str) -> bool:
    if target != root:
        return path.startswith(target)
    return path == root or (bool(root_also) and path.startswith(root + root_also))


def _marked(place: Place, *, current: bool) -> Place:
    return Place(place.word, place.path, place.key, current)


def may_open(user: Any, path: str, stage: str | None = None) -> bool:
    prefix = get_script_prefix()
    try:
        name = resolve("/" + path.removeprefix(prefix)).view_name
    except Resolver404:
        return False
    action = access.URL_ACTIONS.get(name)
    return action is not None and access.can(user, action, stage)
