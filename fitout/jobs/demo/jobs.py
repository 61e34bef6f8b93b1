"""Five jobs with their customers and build sheets, oldest first, all as enquiries."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction

from fitout.jobs import sheet
from fitout.jobs.hullplan.templates import TEMPLATES, fill
from fitout.jobs.models import Customer, Job, Vessel
from fitout.kit.models import Counter, User

from .sheets import SheetLoader

FIRST_NUMBER = 139


@dataclass(frozen=True)
class DemoJob:
    customer: tuple[str, str, str, str, str]
    vessel: dict[str, Any]
    job: dict[str, Any]
    opened_days_ago: int
    promised_in_days: int | None
    asked_in_days: int
    sheet: str = ""
    copy_of: str = ""
    lead: int | None = None


def metres(
    length: str, beam: str, depth: str, height: str, draught: str, *, mass: str, centre: str
) -> dict[str, Decimal]:
    return {
        "length_m": Decimal(length),
        "beam_m": Decimal(beam),
        "depth_m": Decimal(depth),
        "height_m": Decimal(height),
        "draught_m": Decimal(draught),
        "light_mass_kg": Decimal(mass),
        "light_x_m": Decimal(centre),
    }


JOBS = (
    DemoJob(
        customer=(
            "The Aldersey household",
            "Petra Aldersey",
            "petra@aldersey.example",
            "+000 555 0201",
            "4 Chapel Rise, Lantern Bay",
        ),
        vessel={
            "name": "Saffron",
            "template": "dayboat",
            "description": "family day boat, glass fibre",
            "material": "glass fibre",
            "identification": "LB-DB62-017",
            "home_port": "Lantern Bay",
            **metres("6.2", "2.4", "1.2", "2.4", "0.4", mass="720", centre="2.6"),
        },
        job={"title": "Fit-out of a bare hull", "autonomy_asked_days": Decimal("1.0")},
        opened_days_ago=190,
        promised_in_days=9,
        asked_in_days=0,
        sheet="saffron",
        lead=1,
    ),
    DemoJob(
        customer=(
            "Port of Lantern Bay, harbour office",
            "Ulf Brandy",
            "harbour@lanternbay.example",
            "+000 555 0202",
            "The Mole, Lantern Bay",
        ),
        vessel={
            "name": "Terrapin",
            "template": "launch",
            "description": "harbour survey launch, glass fibre",
            "material": "glass fibre",
            "identification": "LB-SL74-003",
            "home_port": "Lantern Bay",
            **metres("7.4", "2.6", "1.4", "3.4", "0.7", mass="2350", centre="3.2"),
        },
        job={"title": "Fit-out for harbour survey", "autonomy_asked_days": Decimal("1.5")},
        opened_days_ago=150,
        promised_in_days=38,
        asked_in_days=30,
        sheet="terrapin",
        lead=0,
    ),
    DemoJob(
        customer=(
            "Wren and Tolley",
            "Hana Tolley",
            "hana@wren-tolley.example",
            "+000 555 0203",
            "Orchard End, Upper Marsh",
        ),
        vessel={
            "name": "Hedgerow",
            "template": "van",
            "description": "camper van, panel van as delivered",
            "material": "steel",
            "identification": "chassis 0042-7719",
            "home_port": "Upper Marsh",
            **metres("5.4", "2.05", "1.0", "1.95", "0", mass="1980", centre="2.9"),
        },
        job={"title": "Camper fit-out", "autonomy_asked_days": Decimal("3.0")},
        opened_days_ago=84,
        promised_in_days=96,
        asked_in_days=100,
        sheet="hedgerow",
        lead=2,
    ),
    DemoJob(
        customer=(
            "Carrig Sound Oysters",
            "Noor Pascoe",
            "noor@carrig-sound.example",
            "+000 555 0204",
            "Carrig Sound, by Lantern Bay",
        ),
        vessel={
            "name": "Dulse",
            "template": "workboat",
            "description": "oyster-farm workboat, aluminium, bare hull",
            "material": "aluminium",
            "identification": "LB-WB86-011",
            "home_port": "Carrig Sound",
            **metres("8.6", "2.8", "1.5", "3.7", "0.5", mass="1480", centre="3.6"),
        },
        job={"title": "Fit-out of a bare hull", "autonomy_asked_days": Decimal("2.0")},
        opened_days_ago=134,
        promised_in_days=1,
        asked_in_days=3,
        sheet="dulse",
        lead=0,
    ),
    DemoJob(
        customer=("Carrig Sound Oysters", "", "", "", ""),
        vessel={
            "name": "Carrageen",
            "template": "workboat",
            "description": "oyster-farm workboat, sister of Dulse",
            "material": "aluminium",
            "identification": "LB-WB86-012",
            "home_port": "Carrig Sound",
            **metres("8.6", "2.8", "1.5", "3.7", "0.5", mass="1490", centre="3.6"),
        },
        job={"title": "Fit-out as Dulse", "autonomy_asked_days": Decimal("2.0")},
        opened_days_ago=6,
        promised_in_days=None,
        asked_in_days=200,
        copy_of="Dulse",
    ),
)


@transaction.atomic
def load(by: User, today: date, technicians: Sequence[User]) -> None:
    """Open the demo jobs as enquiries; nothing happens where one of them is there already."""
    if Job.objects.filter(number=FIRST_NUMBER).exists():
        return
    Counter.objects.get_or_create(series="job", defaults={"last": FIRST_NUMBER - 1})
    made: dict[str, Job] = {}
    for plan in JOBS:
        made[plan.vessel["name"]] = _open(plan, by, today, technicians, made)


def _open(
    plan: DemoJob, by: User, today: date, technicians: Sequence[User], made: dict[str, Job]
) -> Job:
    opened = today - timedelta(days=plan.opened_days_ago)
    job = Job.open(
        vessel=_vessel(plan, by),
        customer=_customer(plan),
        by=by,
        today=opened,
        asked_for=today + timedelta(days=plan.asked_in_days),
        promised_for=_in_days(today, plan.promised_in_days),
        lead=technicians[plan.lead] if plan.lead is not None else None,
        **plan.job,
    )
    if plan.sheet:
        SheetLoader(job, by).load(plan.sheet)
    if plan.copy_of:
        source = made[plan.copy_of]
        sheet.copy_from(job, source, zones=sheet.zones_alike(source, job), by=by)
    return job


def _in_days(today: date, days: int | None) -> date | None:
    return None if days is None else today + timedelta(days=days)


def _customer(plan: DemoJob) -> Customer:
    name, contact, email, phone, address = plan.customer
    customer, _ = Customer.objects.get_or_create(
        name=name,
        defaults={"contact": contact, "email": email, "phone": phone, "address": address},
    )
    return customer


def _vessel(plan: DemoJob, by: User) -> Vessel:
    template = TEMPLATES[plan.vessel["template"]]
    vessel = Vessel.objects.create(kind=template.kind, changed_by=by, **plan.vessel)
    fill(vessel, template)
    return vessel
