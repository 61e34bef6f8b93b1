"""README and DEVELOPERS name what exists."""

import re

import pytest
from django.core.management import get_commands

from fitout.bootstrap.commands import SET_UP
from fitout.bootstrap.demo import PASSWORD, PEOPLE
from tests.architecture.rules.source import ROOT

pytestmark = pytest.mark.pure

README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
READ_FROM_ENVIRONMENT = re.compile(r"""\b(?:env\.\w+|flag|whole)\(\s*"([A-Z_]+)\"""")


def test_readme_lists_the_settings_that_are_read() -> None:
    code = "".join(
        (ROOT / "fitout" / name).read_text() for name in ("environment.py", "settings.py")
    )
    listed = re.findall(r"^\| `([A-Z_]+)` \|", README, flags=re.MULTILINE)
    assert sorted(listed) == sorted(set(READ_FROM_ENVIRONMENT.findall(code)))


def test_commands_named_in_the_documents_exist() -> None:
    named = set(re.findall(r"manage\.py (\w+)", README + DEVELOPERS))
    assert named >= {"demo", "test", "worker", "migrate"}
    assert named - set(SET_UP) - set(get_commands()) == set()


def test_readme_tells_how_to_sign_in_to_the_demo() -> None:
    assert f"`{PASSWORD}`" in README
    for role, username, _ in PEOPLE:
        assert re.search(rf"^\| {role} \| .*`{username}`", README, flags=re.MULTILINE)


def test_folders_named_for_developers_exist() -> None:
    paths = set(re.findall(r"`((?:catalogue|electrical|fitout|quotes|tests)/[\w/.]*)`", DEVELOPERS))
    assert len(paths) > 5
    assert [path for path in sorted(paths) if not (ROOT / path).exists()] == []
