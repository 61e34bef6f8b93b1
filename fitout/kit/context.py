"""What every page knows: the workshop's name, read when a template asks for it."""

from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from .models import Workshop


def workshop(request: HttpRequest) -> dict[str, object]:
    return {"workshop_name": SimpleLazyObject(lambda: Workshop.current().name)}
