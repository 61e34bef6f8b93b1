"""Jobs with parts to buy, one supplier each unless told."""

from datetime import date, datetime, timedelta
from decimal import Decimal

from django.utils import timezone

from catalogue.models import Part, SupplierPart
from fitout.jobs import sheet
from fitout.jobs.models import Job
from fitout.kit.models import User
from fitout.purchasing.models import PurchaseOrder
from fitout.purchasing.ordering import propose, send
from tests.factories.jobs import make_job, zone_of

TODAY = date(2026, 4, 8)
NOW = datetime(2026, 4, 8, 10, 0, tzinfo=timezone.get_fixed_timezone(0))


def buying_job(by: User, *parts: tuple[Part, str], zone: str = "HM") -> Job:
    """An accepted job whose build sheet holds these parts in these quantities."""
    job = make_job(by)
    for part, quantity in parts:
        details = sheet.Details(quantity=Decimal(quantity))
        sheet.add_part(job, zone_of(job, zone), part, by=by, details=details)
    Job.objects.filter(pk=job.pk).update(stage="accepted")
    job.refresh_from_db()
    return job


def packed(part: Part, *, pack: str = "1", minimum: str = "1", lead_days: int = 7) -> SupplierPart:
    offer = SupplierPart.objects.get(part=part, preferred=True)
    offer.pack_quantity, offer.minimum_order = Decimal(pack), Decimal(minimum)
    offer.lead_days = lead_days
    offer.save()
    return offer


def sent_order(job: Job, by: User, *, today: date = TODAY) -> PurchaseOrder:
    """The only draft of a job, sent."""
    (draft,) = propose(job, by=by, today=today)
    return send(draft, by=by, at=NOW, today=today)


def days(count: int) -> timedelta:
    return timedelta(days=count)
