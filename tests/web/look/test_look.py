"""The base pages: policy, places, refusals, and that the parts draw without a fault."""

import re
from pathlib import Path

import pytest
from django.template.loader import render_to_string
from django.test import Client

ROOT = Path(__file__).parents[3]
STATIC, TEMPLATES = ROOT / "static", ROOT / "templates"
CSS = STATIC / "css"


@pytest.mark.django_db
@pytest.mark.parametrize("path", ["/look/", "/look/phone/", "/look/board/"])
def test_parts_are_drawn(client: Client, path: str) -> None:
    page = client.get(path).content.decode()
    assert "<h1" in page
    assert " style=" not in page
    assert "<style" not in page
    assert not re.search(r"<script(?![^>]*\bsrc=)", page)


@pytest.mark.django_db
def test_unknown_part_is_not_found(client: Client) -> None:
    answer = client.get("/look/engine/")
    assert answer.status_code == 404
    assert "Nothing is kept under this address" in answer.content.decode()


@pytest.mark.django_db
def test_wrong_field_is_tied_to_its_message(client: Client) -> None:
    page = client.get("/look/").content.decode()
    field = re.search(r'<input[^>]*id="wrong_length"[^>]*>', page)
    assert field
    assert 'aria-invalid="true"' in field.group()
    assert 'aria-describedby="wrong_length_error"' in field.group()
    assert re.search(r'id="wrong_length_error">.*?Length: 0\.1.m at least\.', page, re.DOTALL)


@pytest.mark.django_db
def test_typed_text_may_read_from_the_right(client: Client) -> None:
    page = client.get("/look/").content.decode()
    assert re.search(r'<textarea[^>]*dir="auto"', page)


@pytest.mark.parametrize("name", ["400", "500", "kit/busy", "kit/too_large"])
def test_refusals_without_a_request_stand_alone(name: str) -> None:
    page = render_to_string(f"{name}.html")
    assert "Nothing was" in page
    assert "css/base.css" in page


def test_style_sheets_take_their_colours_from_the_tokens() -> None:
    """Two literals are allowed: ink on the strip's magenta, and the shade behind a dialog."""
    allowed = {"#13212b", "#ffffff", "#0009"}
    for sheet in CSS.glob("*.css"):
        if sheet.name in ("tokens.css", "print.css"):
            continue
        found = set(re.findall(r"#[0-9a-f]{3,8}\b", sheet.read_text(encoding="utf-8")))
        assert found <= allowed, f"{sheet.name}: {sorted(found - allowed)}"


def test_style_sheets_stay_short() -> None:
    for sheet in CSS.glob("*.css"):
        assert len(sheet.read_text(encoding="utf-8").splitlines()) <= 400, sheet.name


def used_classes(text: str) -> set[str]:
    """Classes written out in a template; those put together by tags are left to their tags."""
    plain = re.sub(r"\{#.*?#\}|\{%.*?%\}", " ", re.sub(r"\{\{.*?\}\}", "{}", text))
    names = {name for found in re.findall(r'class="([^"]*)"', plain) for name in found.split()}
    return {name for name in names if "{}" not in name}


def styled_classes(*folders: str) -> set[str]:
    sheets = [sheet for folder in folders for sheet in (STATIC / folder).glob("*.css")]
    rules = re.sub(r"/\*.*?\*/", "", "".join(s.read_text("utf-8") for s in sheets), flags=re.DOTALL)
    return set(re.findall(r"\.([a-zA-Z][\w-]*)", rules))


def test_every_class_in_a_template_stands_in_a_style_sheet() -> None:
    """A class without a rule is a misspelling. `strip-state` and `way` are handles for scripts."""
    on_screen, on_paper = styled_classes("css"), styled_classes("print")
    lost = {
        f"{template.relative_to(TEMPLATES)}: {name}"
        for template in TEMPLATES.rglob("*.html")
        for name in used_classes(template.read_text("utf-8"))
        - (on_paper if "print" in template.parts else on_screen)
        - {"strip-state", "way"}
    }
    assert sorted(lost) == []
