import os

import pytest
from hypothesis import settings as examples

# Playwright's synchronous interface keeps an event loop in the main thread, which Django takes
# for asynchronous code.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

# Every run of the gate draws the same examples: it fails on a change, not on a lucky draw.
# Whoever looks for examples nobody has met asks for the other profile.
examples.register_profile("gate", derandomize=True)
examples.register_profile("search", derandomize=False)
examples.load_profile("gate")

pytest_plugins = [
    "tests.fixtures.clock",
    "tests.fixtures.database",
    "tests.fixtures.browser",  # after database, from which it imports
    "tests.fixtures.people",
    "tests.fixtures.walks",
]


#: Long modules early, so that no process works on one at the end while the others rest. The
#: first loads the demo and walks the site; meanwhile others take what needs neither.
TURNS = {
    "test_every_page.py": 0,
    "test_every_form_bad_input.py": 2,
    "test_every_url_by_role.py": 5,
    "test_money_stays_in_the_office.py": 5,
}
#: Folders of tests that touch no database: once, on either engine, is enough.
WITHOUT_DATABASE = {"property", "peer", "reference", "core", "network", "energy", "backbone"}


def _scope(item: pytest.Item) -> str:
    """The module or class, which stays in one process."""
    return item.nodeid.partition("[")[0].rpartition("::")[0]


def _asks_for_demo(item: pytest.Item) -> bool:
    return bool({"demo", "demo_database"} & set(getattr(item, "fixturenames", ())))


def _turn(item: pytest.Item, *, on_postgres: bool, with_demo: set[str]) -> int:
    """The browser's run on SQLite only; without them bad values of the wiring are the longest."""
    parts = set(item.path.parts)
    if on_postgres and "test_every_form_bad_input.py::TestWiring" in item.nodeid:
        return 0
    if "unit" in parts or (on_postgres and {"purchasing", "catalogue"} & parts):
        return 4 if _scope(item) in with_demo else 1
    if parts & WITHOUT_DATABASE:
        return 1
    return TURNS.get(item.path.name, 3 if {"browser", "reliability"} & parts else 4)


def _is_pure(item: pytest.Item) -> bool:
    asked = getattr(item, "fixturenames", ())
    touches = item.get_closest_marker("django_db") or {"db", "django_db_setup"} & set(asked)
    return not touches and bool(WITHOUT_DATABASE & set(item.path.parts))


def pytest_itemcollected(item: pytest.Item) -> None:
    if _is_pure(item):
        item.add_marker(pytest.mark.pure)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Skip, on one engine, what only the other can show; have the databases that are copied."""
    from django.conf import settings

    on_postgres = "postgresql" in settings.DATABASES["default"]["ENGINE"]
    with_demo = {_scope(item) for item in items if _asks_for_demo(item)}
    items.sort(key=lambda item: _turn(item, on_postgres=on_postgres, with_demo=with_demo))
    for item in items:
        # pytest-django makes the database only if it sees that some test asks for one.
        if "django_db_setup" in getattr(item, "fixturenames", ()):
            item.add_marker(pytest.mark.django_db)
        if "own_database" in getattr(item, "fixturenames", ()):
            # Without the mark a run of such tests alone makes no test database to copy from.
            item.add_marker(pytest.mark.django_db)
        if not on_postgres and item.get_closest_marker("postgres"):
            item.add_marker(pytest.mark.skip(reason="only PostgreSQL can show this"))
