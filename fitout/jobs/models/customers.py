from django.db import models

from fitout.kit.models import Versioned


class Customer(Versioned):
    name = models.CharField(max_length=120)
    contact = models.CharField(max_length=120, blank=True)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    address = models.TextField(blank=True, max_length=400)
    tax_number = models.CharField(max_length=30, blank=True)
    notes = models.TextField(blank=True, max_length=2000)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
