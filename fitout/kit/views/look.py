"""Every part of the look on one page, with sample data, to develop against."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from .. import icons, pages
from ..forms import DateInput, Form, NumberField
from ..navigation import JOB_VIEWS

SHEET_COLUMNS = (
    "id", "qty", "unit", "what", "code", "follow", "supplier",
    "cost", "labour", "mass", "sell", "choice", "circuits",
)  # fmt: skip


PARTS = ("board", "phone")


class SampleForm(Form):
    name = forms.CharField(max_length=40, help_text="As it stands on the label.")
    length = NumberField(min_value="0.1", max_value="60", unit="m")
    kind = forms.ChoiceField(choices=[("boat", "Boat"), ("van", "Van"), ("caravan", "Caravan")])
    day = forms.DateField(widget=DateInput, required=False)
    zone = forms.ChoiceField(
        widget=forms.RadioSelect, choices=[("hm", "Helm"), ("fd", "Foredeck")], required=False
    )
    vapour = forms.BooleanField(label="Petrol vapour can collect here", required=False)
    photo = forms.FileField(required=False)
    note = forms.CharField(widget=forms.Textarea, required=False, max_length=400)


def sample_rows() -> list[dict[str, Any]]:
    names = ("needed", "ordered", "part-received", "received", "picked", "fitted", "left-over")
    whats = (
        "Deck flood, LED, sealed",
        "Switch panel, engraved",
        "Data backbone, 6 drops",
        "Suspension seat, heated",
        "Hydraulic steering, twin",
        "Wiper, 600 mm arm",
        "Cable transit plate, 12-way",
    )
    return [
        {
            "code": f"HM-{place:02d}",
            "what": what,
            "state": state,
            "late": state == "ordered",
            "cost": 74.5 * place * place,
            "hours": 1.5 * place,
            "float": place == 4,
            "hand": place == 3,
        }
        for place, (state, what) in enumerate(zip(names, whats, strict=True), start=1)
    ]


@require_safe
def look(request: HttpRequest, part: str = "") -> HttpResponse:
    if part:
        if part not in PARTS:
            raise Http404(f"no such part of the look: {part}")
        return pages.render(request, f"kit/look/{part}.html", {})
    wrong = {"name": "", "length": "0", "kind": "ship", "note": "Typed text stays."}
    context = {
        "form": SampleForm(),
        "wrong": SampleForm(data=wrong, auto_id="wrong_%s"),
        "rows": sample_rows(),
        "icon_names": list(icons.ICONS),
        "columns": SHEET_COLUMNS,
        "tabs": [(view.word, view.key) for view in JOB_VIEWS],
        "stages": ("Enquiry", "Quoted", "Accepted", "In build", "Trials", "Handed over", "Closed"),
    }
    return pages.render(request, "kit/look.html", context)
