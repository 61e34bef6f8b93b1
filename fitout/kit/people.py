"""The forms about people: signing in, passwords, and the owner's list of who works here."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth import authenticate, password_validation
from django.core.exceptions import ValidationError
from django.db import transaction

from . import audit
from .forms import Form, NumberField, TrackedForm
from .models import Role, User

LONGEST_PASSWORD = 200


class PasswordInput(forms.PasswordInput):
    def __init__(self, autocomplete: str) -> None:
        super().__init__({"autocomplete": autocomplete})


def new_password_field(label: str, *, required: bool = True) -> forms.CharField:
    return forms.CharField(
        label=label,
        strip=False,
        required=required,
        max_length=LONGEST_PASSWORD,
        widget=PasswordInput("new-password"),
        help_text="10 characters at least, not all digits, not a common word.",
    )


def check_password_rules(password: str, user: User) -> None:
    password_validation.validate_password(password, user)


class SignInForm(Form):
    saves_nothing = True
    username = forms.CharField(
        label="Sign-in name",
        max_length=60,
        widget=forms.TextInput(
            {"autocomplete": "username", "autocapitalize": "none", "autofocus": True}
        ),
    )
    password = forms.CharField(
        label="Password",
        strip=False,
        max_length=LONGEST_PASSWORD,
        widget=PasswordInput("current-password"),
    )

    def __init__(self, request: Any, *args: Any, **kwargs: Any) -> None:
        self.request = request
        self.user: User | None = None
        super().__init__(*args, **kwargs)

    def clean_username(self) -> str:
        return str(self.cleaned_data["username"]).lower()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if cleaned.get("username") and cleaned.get("password"):
            found = authenticate(
                self.request, username=cleaned["username"], password=cleaned["password"]
            )
            if not isinstance(found, User):
                raise ValidationError(
                    "Sign-in name and password do not match, or this person may no longer sign in."
                )
            self.user = found
        return cleaned

    def get_user(self) -> User:
        assert self.user is not None  # noqa: S101 - only asked after is_valid()
        return self.user


class PasswordForm(Form):
    old_password = forms.CharField(
        label="Password now",
        strip=False,
        max_length=LONGEST_PASSWORD,
        widget=PasswordInput("current-password"),
    )
    new_password = new_password_field("New password")
    again = new_password_field("New password again")

    def __init__(self, user: User, *args: Any, **kwargs: Any) -> None:
        self.user = user
        super().__init__(*args, **kwargs)
        self.fields["again"].help_text = ""

    def clean_old_password(self) -> str:
        typed = str(self.cleaned_data["old_password"])
        if not self.user.check_password(typed):
            raise ValidationError("Password now: this is not your password.")
        return typed

    def clean_new_password(self) -> str:
        typed = str(self.cleaned_data["new_password"])
        check_password_rules(typed, self.user)
        return typed

    def clean_again(self) -> str:
        typed = str(self.cleaned_data["again"])
        if typed != self.cleaned_data.get("new_password", typed):
            raise ValidationError("New password again: differs from the new password.")
        return typed

    def save(self) -> None:
        self.user.set_password(self.cleaned_data["new_password"])
        self.user.save(update_fields=["password"])


class PersonForm(TrackedForm):
    scope, action = "people", "people"
    can_undo_new = can_undo_change = False

    hours_per_day = NumberField(
        label="Hours per day", min_value="0", max_value="24", decimal_places=2, unit="h"
    )
    new_password = new_password_field("Password", required=False)

    class Meta:
        model = User
        fields = (
            "display_name",
            "username",
            "role",
            "hours_per_day",
            "email",
            "phone",
            "is_active",
        )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("display_name", "username", "email", "phone"):
            self.fields[name].widget.attrs["autocomplete"] = "off"
        if self.instance.pk:
            self.fields["new_password"].help_text = "Leave empty to keep the password they have."
        else:
            self.fields["new_password"].required = True

    def clean_username(self) -> str:
        return str(self.cleaned_data["username"]).lower()

    def clean_new_password(self) -> str:
        typed = str(self.cleaned_data["new_password"])
        if typed:
            check_password_rules(typed, self.instance)
        return typed

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        stays = cleaned.get("role") == Role.OWNER and cleaned.get("is_active")
        stored = User.objects.filter(pk=self.instance.pk).first()
        if stored and stored.is_active and stored.is_last_owner and not stays:
            field = "is_active" if cleaned.get("role") == Role.OWNER else "role"
            self.add_error(
                field, "This is the last owner who may sign in; make somebody else owner first."
            )
        return cleaned

    def entry_label(self, *, adding: bool) -> str:
        return f"{'Added' if adding else 'Changed'} {self.instance.display_name}"

    def save_watched(self, user: Any, change: audit.Change) -> None:
        if self.cleaned_data["new_password"]:
            self.instance.set_password(self.cleaned_data["new_password"])
        super().save_watched(user, change)


@transaction.atomic
def hold_owners() -> None:
    """Two owners who deactivate each other at once must wait for one another."""
    list(User.objects.owners().select_for_update().order_by("pk"))
