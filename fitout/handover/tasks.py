"""Background work of the handover: a pack takes seconds to draw, so a worker makes it."""

from django.utils import timezone
from django_tasks import task

from fitout.handover.models import Pack
from fitout.handover.packing import make


@task()
def make_pack(pack_id: int) -> str:
    """Harmless when it runs twice: a pack that is ready stays as it is."""
    pack = Pack.objects.select_related("job").get(pk=pack_id)
    return str(make(pack, now=timezone.now()))
