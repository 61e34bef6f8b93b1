from __future__ import annotations

from typing import Self

from django.core.validators import RegexValidator
from django.db import models

from .versions import Versioned


class Workshop(Versioned):
    """The firm whose name stands on every page and document; one row."""

    name = models.CharField(max_length=80, default="Fitout")
    address = models.TextField(blank=True, max_length=400)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    tax_number = models.CharField("tax number", max_length=30, blank=True)
    country = models.CharField(
        "country, for public holidays",
        max_length=2,
        blank=True,
        validators=[RegexValidator(r"^[A-Z]{2}$", "Country: two capital letters, such as IE.")],
    )

    def __str__(self) -> str:
        return self.name

    @classmethod
    def current(cls) -> Self:
        return cls.objects.order_by("pk").first() or cls()
