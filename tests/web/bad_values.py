"""Values people and programs send that a form has to refuse, or take without harm."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from django.core.files.uploadedfile import SimpleUploadedFile

from fitout.bootstrap.demo import PASSWORD
from tests.web.crawl import BUTTONS, Field, Form

Value = str | SimpleUploadedFile

MARKUP = "<script>alert(1)</script>\"'><img src=x onerror=alert(1)>"
MARKUP_UNESCAPED = ("<script>alert(1)", "<img src=x onerror")
RIGHT_TO_LEFT = "\u202e\u05e9\u05dc\u05d5\u05dd bow light"
CONTROL = "bow\x00\x07light"
VERY_LONG = "x" * 10_001
HUGE = "9" * 40

TEXT = ("text", "search", "textarea", "email", "tel", "url")
REFERENCE = ("select", "radio")
# What is neither yes nor no is not known, whatever else was sent.
YES_NO_UNKNOWN = {"unknown", "true", "false"}
NOT_TYPED = (*BUTTONS, "checkbox", "password")


@dataclass(frozen=True)
class Case:
    """One value in one field. `must_refuse`: no form may take this for this kind of field."""

    field: Field
    what: str
    values: tuple[Value, ...]
    must_refuse: bool = False
    is_kept: bool = False


def pattern_of(name: str) -> str:
    """A field's name without the row it stands in: `quantity_12` and `quantity_13` are alike."""
    return re.sub(r"\d+", "#", name)


def fields_of_each_kind(form: Form) -> list[Field]:
    """Of fields that differ only in their row, the first."""
    found: dict[str, Field] = {}
    for field in form.typed_fields:
        found.setdefault(pattern_of(field.name), field)
    return list(found.values())


def cases(form: Form) -> Iterator[Case]:
    for field in fields_of_each_kind(form):
        if field.kind == "file":
            yield from _files(field)
            continue
        if field.kind in BUTTONS:
            yield Case(field, "pressed", (field.value,))
            continue
        yield Case(field, "missing", ())
        yield Case(field, "empty", ("",), must_refuse=field.is_required and field.kind != "hidden")
        yield Case(field, "twice", (field.value, field.value))
        if field.kind not in NOT_TYPED:
            yield from _values(field)


def _values(field: Field) -> Iterator[Case]:
    if field.is_number:
        for text in ("abc", "NaN", "1e400", HUGE, f"-{HUGE}"):
            yield Case(field, text[:6], (text,), must_refuse=True, is_kept=True)
        for text in ("0", "-1", "1,5", "0,0"):
            yield Case(field, text, (text,))
    elif field.kind in REFERENCE:
        for text in ("999999999", "no such thing"):
            yield Case(field, text, (text,), must_refuse=set(field.choices) != YES_NO_UNKNOWN)
    elif field.kind in ("date", "datetime-local", "time", "month"):
        for text in ("31.02.2026", "0000-00-00", "99999-01-01", "soon"):
            yield Case(field, text, (text,), must_refuse=True)
    elif field.kind == "hidden":
        for text in ("999999999", "no such thing", CONTROL, HUGE, MARKUP):
            yield Case(field, text[:20], (text,))
    else:
        yield Case(field, "control characters", (CONTROL,), must_refuse=field.kind in TEXT)
        too_long = field.kind in TEXT and field.kind != "textarea"
        yield Case(field, "very long", (VERY_LONG,), must_refuse=too_long)
        yield Case(field, "markup", (MARKUP,))
        yield Case(field, "right to left", (RIGHT_TO_LEFT,))


def _files(field: Field) -> Iterator[Case]:
    disguised = SimpleUploadedFile("photo.jpg", b"MZ this is a program", "image/jpeg")
    yield Case(field, "missing", ())
    yield Case(field, "disguised", (disguised,), must_refuse=True)
    yield Case(field, "empty", (SimpleUploadedFile("photo.jpg", b""),), must_refuse=True)


def filled(form: Form) -> dict[str, list[Value]]:
    """What a careful person would send: what the form proposes, and something plausible."""
    sent: dict[str, list[Value]] = {name: list(values) for name, values in form.values.items()}
    for field in form.typed_fields:
        if field.kind in BUTTONS or field.kind in ("hidden", "file", "checkbox"):
            continue
        if not any(sent.get(field.name, [])):
            plausible = _plausible(field)
            if plausible:
                sent[field.name] = [plausible]
    sent.pop("once", None)
    return sent


def _plausible(field: Field) -> str:
    if field.kind in REFERENCE:
        return next((choice for choice in field.choices if choice), field.value)
    if not field.is_required and field.kind != "password":
        return ""
    if field.is_number:
        return "1"
    if field.kind == "password":
        return PASSWORD if "old" in field.name else "quite another long password"
    by_kind = {"date": "2026-03-02", "email": "somebody@example.org", "time": "09:00"}
    is_code = any(word in field.name for word in ("code", "username", "label"))
    return by_kind.get(field.kind, "BL2" if is_code else "Bow light 2")


def sent_with(form: Form, case: Case) -> dict[str, list[Value]]:
    sent = filled(form)
    sent.pop(case.field.name, None)
    if case.values:
        sent[case.field.name] = list(case.values)
    return sent


def stale(form: Form) -> Case | None:
    """The version a form would carry if somebody else had saved since it was opened."""
    version = next((f for f in form.typed_fields if f.name.split("-")[-1] == "version"), None)
    if version is None or not version.value.isdigit():
        return None
    earlier = str(int(version.value) - 1)
    return Case(replace(version, label=""), "stale version", (earlier,), must_refuse=True)
