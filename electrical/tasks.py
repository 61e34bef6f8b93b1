"""Background work of the wiring: what takes seconds, or more memory than a page should."""

from django.utils import timezone
from django_tasks import task

from electrical.joint_choices import make
from electrical.models import EnergyYear, JointChoice
from electrical.year import running

GONE = "another was asked for"


@task()
def make_joint_choice(choice_id: int) -> str:
    """Harmless when it runs twice, and when another was asked for meanwhile."""
    choice = JointChoice.objects.select_related("job__vessel").filter(pk=choice_id).first()
    return GONE if choice is None else str(make(choice, now=timezone.now()))


@task()
def make_energy_year(year_id: int) -> str:
    year = EnergyYear.objects.select_related("job__vessel").filter(pk=year_id).first()
    return GONE if year is None else str(running.make(year, now=timezone.now()))
