from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from catalogue.models import Kit, KitItem, LabourOperation, Part
from catalogue.models.kits import refuse_cycle
from fitout.kit import audit
from fitout.kit.forms import Form, NumberField, TrackedForm

Subject = Part | Kit | LabourOperation
COLUMNS: dict[type[Any], str] = {Part: "part", Kit: "child", LabourOperation: "operation"}


class KitForm(TrackedForm):
    scope, action = "kits", "kit"
    can_undo_new = False

    class Meta:
        model = Kit
        fields = ("code", "description", "category", "active", "notes")
        labels = {"code": "Our code", "category": "System", "active": "In use"}

    def __init__(self, *args: Any, like: Kit | None = None, **kwargs: Any) -> None:
        self.like = like
        if like is not None:
            kept = ("description", "category", "notes")
            kwargs["initial"] = {name: getattr(like, name) for name in kept}
        super().__init__(*args, **kwargs)

    def entry_label(self, *, adding: bool) -> str:
        return f"{'Added' if adding else 'Changed'} {self.instance.code}"

    def save_watched(self, user: Any, change: audit.Change) -> None:
        """A new kit like another one starts with the same items."""
        adding = self.instance.pk is None
        super().save_watched(user, change)
        if adding:
            change.created(*KitItem.objects.bulk_create(self._copied_items(self.instance)))

    def _copied_items(self, kit: Kit) -> list[KitItem]:
        items = list(self.like.items.all()) if self.like else []
        for item in items:
            item.pk, item.kit = None, kit
            item._state.adding = True
        return items


def subjects_with_code(code: str) -> list[Subject]:
    found: list[Subject] = []
    for model in COLUMNS:
        found += model.objects.filter(code__iexact=code)
    return found


def quantity_field() -> NumberField:
    return NumberField(label="Quantity", min_value="0.01", max_value="100000", decimal_places=2)


class KitItemForm(Form):
    """What goes into a kit, by its code: a part, another kit or a labour operation."""

    what = forms.CharField(
        label="Part, kit or labour operation",
        max_length=60,
        widget=forms.TextInput({"list": "suggestions", "autocomplete": "off"}),
        help_text="Type a code, or words to choose from.",
    )
    quantity = quantity_field()

    def __init__(self, *args: Any, kit: Kit, **kwargs: Any) -> None:
        self.kit = kit
        super().__init__(*args, **kwargs)

    def clean_what(self) -> Subject:
        code = self.cleaned_data["what"].strip().split(" ")[0]
        found = subjects_with_code(code)
        if not found:
            raise ValidationError(f"there is no part, kit or operation with the code “{code}”.")
        subject = found[0]
        if not subject.active:
            raise ValidationError(f"{subject.code} is no longer used.")
        if isinstance(subject, Kit):
            self._refuse_cycle(subject)
        return subject

    def _refuse_cycle(self, child: Kit) -> None:
        try:
            refuse_cycle(self.kit, child)
        except ValidationError as error:
            raise ValidationError(error.message_dict["child"]) from error

    def item(self) -> KitItem:
        subject = self.cleaned_data["what"]
        last = self.kit.items.order_by("-position").values_list("position", flat=True).first()
        item = KitItem(
            kit=self.kit, quantity=self.cleaned_data["quantity"], position=(last or 0) + 1
        )
        setattr(item, COLUMNS[type(subject)], subject)
        return item


class KitItemChangeForm(Form):
    """Which kit was looked at, for a change that needs nothing else said."""

    version = forms.IntegerField(widget=forms.HiddenInput)


class KitQuantityForm(KitItemChangeForm):
    quantity = quantity_field()


class KitMoveForm(KitItemChangeForm):
    move = forms.ChoiceField(choices=[("up", "Up"), ("down", "Down")])

    @property
    def steps(self) -> int:
        return -1 if self.cleaned_data["move"] == "up" else 1
