"""Background work of the wiring: choosing everything together takes seconds."""

from django.utils import timezone
from django_tasks import task

from electrical.joint_choices import make
from electrical.models import JointChoice


@task()
def make_joint_choice(choice_id: int) -> str:
    """Harmless when it runs twice, and when another was asked for meanwhile."""
    choice = JointChoice.objects.select_related("job__vessel").filter(pk=choice_id).first()
    return "another was asked for" if choice is None else str(make(choice, now=timezone.now()))
