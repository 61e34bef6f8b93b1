import os

import pytest

# Playwright's synchronous interface keeps an event loop in the main thread, which Django takes
# for asynchronous code.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

pytest_plugins = [
    "tests.fixtures.clock",
    "tests.fixtures.database",
    "tests.fixtures.browser",  # after database, from which it imports
    "tests.fixtures.people",
    "tests.fixtures.walks",
]


#: Long modules early, so that no process works on one at the end while the others rest; what
#: reads the walks of the site (one process walks, the others wait) apart from one another.
TURNS = {
    "test_every_page.py": 0,
    "test_every_form_bad_input.py": 2,
    "test_every_url_by_role.py": 4,
    "test_money_stays_in_the_office.py": 4,
}


def _turn(item: pytest.Item) -> int:
    is_early = {"browser", "reliability"} & set(item.path.parts)
    return TURNS.get(item.path.name, 1 if is_early else 3)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Skip, on one engine, what only the other can show; have the databases that are copied."""
    from django.conf import settings

    items.sort(key=_turn)
    on_postgres = "postgresql" in settings.DATABASES["default"]["ENGINE"]
    for item in items:
        # pytest-django makes the database only if it sees that some test asks for one.
        if "django_db_setup" in getattr(item, "fixturenames", ()):
            item.add_marker(pytest.mark.django_db)
        if "own_database" in getattr(item, "fixturenames", ()):
            # Without the mark a run of such tests alone makes no test database to copy from.
            item.add_marker(pytest.mark.django_db)
        if not on_postgres and item.get_closest_marker("postgres"):
            item.add_marker(pytest.mark.skip(reason="only PostgreSQL can show this"))
