"""One search box over jobs, circuits, orders, customers, people and the catalogue, by role."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence

from django.db.models import Q
from django.urls import reverse

from catalogue import search as catalogue_search
from catalogue.search import Hit
from electrical.models import Circuit
from fitout.jobs.models import Customer, Job
from fitout.kit.access import can
from fitout.kit.models import User
from fitout.purchasing.models import PurchaseOrder
from fitout.workshop.models import Task

MOST = 12
LONGEST = 100
NUMBER = re.compile(r"^(?:[A-Za-z]{1,3}-?)?0*(\d{1,6})$")


MOST_IN_A_GROUP = {MOST, catalogue_search.MOST}


def find(text: str, user: User) -> dict[str, list[Hit]]:
    """Hits by group, the groups in the order of a job's life; only what the person may see."""
    text = text.strip()[:LONGEST].replace("\0", "")
    if not text:
        return {}
    groups: dict[str, list[Hit]] = {}
    for name, search in SEARCHES:
        if hits := list(search(text, user)):
            groups[name] = hits
    for hit in catalogue_search.find(text, user):
        groups.setdefault(GROUP_OF.get(hit.kind, hit.kind), []).append(hit)
    return groups


def _number(text: str) -> int | None:
    match = NUMBER.match(text)
    return int(match.group(1)) if match else None


def _jobs(text: str, user: User) -> Iterable[Hit]:
    wanted = Q(vessel__name__icontains=text) | Q(customer__name__icontains=text)
    wanted |= Q(vessel__description__icontains=text) | Q(title__icontains=text)
    number = _number(text)
    if number is not None:
        wanted |= Q(number=number)
    jobs = Job.objects.visible_to(user).for_title().filter(wanted).order_by("-number")
    for job in jobs[:MOST]:
        yield Hit(
            kind="job",
            code=job.code,
            title=job.vessel.name,
            url=reverse("jobs:sheet", args=[job.number]),
            detail=f"{job.customer.name}, {job.get_stage_display().lower()}",
        )


def _circuits(text: str, user: User) -> Iterable[Hit]:
    wanted = Q(name__icontains=text)
    number = _number(text)
    if number is not None and text[:1].lower() in "c0123456789":
        wanted |= Q(number=number)
    circuits = Circuit.objects.filter(wanted, job__in=Job.objects.visible_to(user))
    for circuit in circuits.select_related("job__vessel").order_by("-job__number", "number")[:MOST]:
        yield Hit(
            kind="circuit",
            code=circuit.label,
            title=circuit.name,
            url=reverse("electrical:circuit", args=[circuit.job.number, circuit.pk]),
            detail=f"{circuit.job.code} {circuit.job.vessel.name}",
        )


def _tasks(text: str, user: User) -> Iterable[Hit]:
    tasks = Task.objects.filter(title__icontains=text).select_related("job__vessel")
    if not user.sees_money:
        tasks = tasks.filter(assigned_to=user)
    for task in tasks.order_by("-job__number", "position")[:MOST]:
        yield Hit(
            kind="task",
            code=task.job.code,
            title=task.title,
            url=reverse("workshop:task", args=[task.pk]),
            detail=task.get_status_display(),
        )


def _orders(text: str, user: User) -> Iterable[Hit]:
    if not can(user, "orders.view"):
        return
    wanted = Q(supplier__name__icontains=text)
    number = _number(text)
    if number is not None:
        wanted |= Q(sequence=number)
    orders = PurchaseOrder.objects.filter(wanted).select_related("supplier", "job")
    for order in orders[:MOST]:
        yield Hit(
            kind="order",
            code=order.number,
            title=order.supplier.name,
            url=reverse("purchasing:order", args=[order.pk]),
            detail=f"{order.job.code}, {order.get_status_display().lower()}",
        )


def _customers(text: str, user: User) -> Iterable[Hit]:
    if not can(user, "customer.view"):
        return
    wanted = Q(name__icontains=text) | Q(contact__icontains=text) | Q(email__icontains=text)
    for customer in Customer.objects.filter(wanted)[:MOST]:
        yield Hit(
            kind="customer",
            code="",
            title=customer.name,
            url=reverse("jobs:customer", args=[customer.pk]),
            detail=customer.contact,
        )


def _people(text: str, user: User) -> Iterable[Hit]:
    if not can(user, "people.manage"):
        return
    wanted = Q(display_name__icontains=text) | Q(username__icontains=text)
    for person in User.objects.filter(wanted)[:MOST]:
        yield Hit(
            kind="person",
            code=person.username,
            title=person.display_name,
            url=reverse("kit:person", args=[person.pk]),
            detail=person.get_role_display(),
        )


Search = Callable[[str, User], Iterable[Hit]]
SEARCHES: Sequence[tuple[str, Search]] = (
    ("Jobs", _jobs),
    ("Circuits", _circuits),
    ("Tasks", _tasks),
    ("Purchase orders", _orders),
    ("Customers", _customers),
    ("People", _people),
)
GROUP_OF = {"Part": "Parts", "Kit": "Kits", "Supplier": "Suppliers", "Labour": "Labour operations"}
