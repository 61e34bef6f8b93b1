from decimal import Decimal
from typing import Any

import pytest
from django import forms
from django.utils.datastructures import MultiValueDict

from catalogue.models import Trade
from fitout.kit.forms import Form, ModelForm, NumberField
from fitout.kit.people import PersonForm
from tests.factories.rows import make_trade


class LengthForm(Form):
    length = NumberField(min_value="0.1", max_value="60", decimal_places=2, unit="m")
    count = NumberField(min_value=1, decimal_places=0, required=False)
    name = forms.CharField(max_length=10, required=False)
    note = forms.CharField(widget=forms.Textarea, required=False)
    day = forms.DateField(required=False)
    kind = forms.ChoiceField(choices=[("a", "A")], required=False)


class TradeChoiceForm(Form):
    wanted = forms.ModelChoiceField(Trade.objects.all())
    second = forms.ModelChoiceField(Trade.objects.all(), required=False)


def errors(**typed: str) -> dict[str, list[str]]:
    form = LengthForm({"length": "1", **typed})
    form.is_valid()
    return {name: [str(one) for one in found] for name, found in form.errors.items()}


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ("", "Length: fill this in."),
        ("0", "Length: 0.1\u00a0m at least."),
        ("-3", "Length: 0.1\u00a0m at least."),
        ("60,01", "Length: 60\u00a0m at most."),
        ("9" * 30, "Length: 60\u00a0m at most."),
        ("1.234", "Length: at most 2 decimals."),
        ("long", "Length: write a number, such as 12.5\u00a0m."),
        ("<b>1</b>", "Length: write a number, such as 12.5\u00a0m."),
    ],
)
def test_a_number_out_of_bounds_names_field_unit_and_limit(typed: str, message: str) -> None:
    assert errors(length=typed) == {"length": [message]}


def test_decimal_comma_gives_the_number() -> None:
    form = LengthForm({"length": "8,60"})
    assert form.is_valid(), form.errors
    assert form.cleaned_data["length"] == Decimal("8.6")


def test_a_comma_that_may_be_either_sign_is_asked_about() -> None:
    assert errors(length="1,234", count="2,500") == {
        "length": [
            "Length: write 1234\u00a0m or 1.23\u00a0m; 1,234 can be read two ways.",
        ],
        "count": ["Count: write 2500; 2,500 can be read two ways."],
    }


def test_whole_numbers_refuse_decimals_but_not_idle_zeros() -> None:
    assert errors(count="1.5") == {"count": ["Count: whole numbers only."]}
    assert errors(count="2,0") == {}


def test_what_was_typed_is_shown_again() -> None:
    form = LengthForm({"length": "<i>wide</i>"})
    html = str(form["length"])
    assert "&lt;i&gt;wide&lt;/i&gt;" in html


@pytest.mark.parametrize(
    ("field", "typed", "message"),
    [
        ("name", "x" * 11, "Name: 10 characters at most, not 11."),
        ("name", "a\x00b", "Name: holds a control character (U+0000); type it again without."),
        ("name", "a\nb", "Name: holds a control character (U+000A); type it again without."),
        (
            "note",
            "a\u202eb",
            "Note: holds a hidden text-direction mark (U+202E); type it again without.",
        ),
        ("note", "a\x1bb", "Note: holds a control character (U+001B); type it again without."),
        ("day", "tomorrow", "Day: write a date such as 2026-03-21."),
        ("day", "1066-10-14", "Day: 1950-01-01 at the earliest."),
        ("day", "9999-01-01", "Day: 2150-12-31 at the latest."),
        ("kind", "z", "Kind: choose one from the list."),
    ],
)
def test_every_message_names_its_field(field: str, typed: str, message: str) -> None:
    assert errors(**{field: typed}) == {field: [message]}


def test_text_of_other_scripts_and_several_lines_is_welcome() -> None:
    assert errors(name="שלום ø", note="one\r\ntwo\tthree") == {}


class TradeForm(ModelForm):
    class Meta:
        model = Trade
        fields = ("name", "code", "sell_per_h", "cost_per_h", "position")


def trade_errors(**typed: Any) -> dict[str, list[str]]:
    given = {"name": "Rigging", "code": "rig", "sell_per_h": "50", "cost_per_h": "30"}
    form = TradeForm({**given, "position": "1", **typed})
    form.is_valid()
    return {name: [str(one) for one in found] for name, found in form.errors.items()}


def test_numbers_of_a_model_get_the_limits_of_its_column(db: None) -> None:
    assert trade_errors(sell_per_h="50,25") == {}
    assert trade_errors(sell_per_h="-1") == {"sell_per_h": ["Sell rate per hour: 0 at least."]}
    assert trade_errors(sell_per_h="1001") == {
        "sell_per_h": ["Sell rate per hour: 1\u202f000 at most."]
    }
    assert trade_errors(position="40000") == {"position": ["Position: 32\u202f767 at most."]}
    assert trade_errors(position="1.5") == {"position": ["Position: whole numbers only."]}


def test_messages_of_the_model_name_the_field_too(db: None) -> None:
    make_trade(code="rig")
    found = trade_errors()["code"]
    assert len(found) == 1
    assert found[0].startswith("Code: ")


def test_words_chosen_for_one_field_are_kept(db: None) -> None:
    class Own(Form):
        name = forms.CharField(error_messages={"required": "Name: who is it?"})

    assert list(Own({}).errors["name"]) == ["Name: who is it?"]


def test_a_form_made_from_a_browser_post_keeps_the_version(owner: Any) -> None:
    data: MultiValueDict[str, str] = MultiValueDict()
    assert "version" in PersonForm(data, instance=owner).fields


def test_nothing_chosen_is_a_word_not_dashes(db: None) -> None:
    form = TradeChoiceForm()
    assert "---" not in str(form)
    assert ">Choose one</option>" in str(form["wanted"])
    assert ">None</option>" in str(form["second"])
