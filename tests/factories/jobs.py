"""Small catalogues, vessels and jobs, each with only what a test asks for."""

from datetime import date
from decimal import Decimal
from itertools import count

from catalogue.models import (
    Condition,
    Kit,
    KitItem,
    LabourOperation,
    Part,
    Supplier,
    SupplierPart,
    TaxGroup,
    Trade,
)
from fitout.jobs.hullplan.templates import TEMPLATES, fill
from fitout.jobs.models import Customer, Job, Vessel, Zone
from fitout.kit.models import User

OPENED = date(2026, 3, 2)
_numbers = count(1)


def make_tax_group(*, rate_pct: str = "23") -> TaxGroup:
    group, _ = TaxGroup.objects.get_or_create(
        code=f"vat-{rate_pct}", defaults={"name": "Standard", "rate_pct": Decimal(rate_pct)}
    )
    return group


def make_trade(
    *, code: str = "electrical", cost_per_h: str = "32", sell_per_h: str = "58"
) -> Trade:
    trade, _ = Trade.objects.get_or_create(
        code=code,
        defaults={
            "name": code.capitalize(),
            "cost_per_h": Decimal(cost_per_h),
            "sell_per_h": Decimal(sell_per_h),
        },
    )
    return trade


def make_supplier(*, name: str = "", is_subcontractor: bool = False) -> Supplier:
    number = next(_numbers)
    return Supplier.objects.create(
        code=f"supplier-{number}",
        name=name or f"Supplier {number}",
        is_subcontractor=is_subcontractor,
    )


def make_part(
    *,
    code: str = "",
    cost: str | None = "10.00",
    mass_kg: str | None = "1.000",
    description: str = "",
    unit: str = "pc",
    kind: str = "general",
    category: str = "fixings",
) -> Part:
    code = code or f"PART-{next(_numbers)}"
    part = Part.objects.create(
        code=code,
        description=description or f"Part {code}",
        category=category,
        kind=kind,
        trade=make_trade(),
        tax_group=make_tax_group(),
        unit=unit,
        mass_kg=None if mass_kg is None else Decimal(mass_kg),
    )
    if cost is not None:
        make_offer(part, cost=cost)
    return part


def make_offer(part: Part, *, cost: str, supplier: Supplier | None = None) -> SupplierPart:
    return SupplierPart.objects.create(
        supplier=supplier or make_supplier(),
        part=part,
        supplier_code=f"S-{part.code}",
        cost=Decimal(cost),
        price_date=OPENED,
        preferred=True,
    )


def make_operation(
    *, code: str = "", standard_h: str = "2.00", trade: Trade | None = None
) -> LabourOperation:
    code = code or f"OP-{next(_numbers)}"
    return LabourOperation.objects.create(
        code=code,
        description=f"Operation {code}",
        trade=trade or make_trade(),
        standard_h=Decimal(standard_h),
    )


def make_condition(*, multiplier: str, name: str = "") -> Condition:
    number = next(_numbers)
    return Condition.objects.create(
        code=f"condition-{number}",
        name=name or f"Condition {number}",
        multiplier=Decimal(multiplier),
    )


def make_kit(*items: tuple[Part | LabourOperation | Kit, str], code: str = "") -> Kit:
    """A kit of (thing, quantity) pairs."""
    code = code or f"KIT-{next(_numbers)}"
    kit = Kit.objects.create(code=code, description=f"Kit {code}", category="fixings")
    for position, (thing, quantity) in enumerate(items, start=1):
        KitItem.objects.create(
            kit=kit,
            part=thing if isinstance(thing, Part) else None,
            operation=thing if isinstance(thing, LabourOperation) else None,
            child=thing if isinstance(thing, Kit) else None,
            quantity=Decimal(quantity),
            position=position,
        )
    return kit


def make_customer(*, name: str = "Grey Heron Ferries") -> Customer:
    return Customer.objects.create(name=name)


def make_vessel(*, template: str = "workboat", name: str = "Dulse", filled: bool = True) -> Vessel:
    plan = TEMPLATES[template]
    length_m, beam_m, depth_m, height_m, draught_m = (Decimal(text) for text in plan.typical_m)
    vessel = Vessel.objects.create(
        name=name,
        kind=plan.kind,
        template=template,
        length_m=length_m,
        beam_m=beam_m,
        depth_m=depth_m,
        height_m=height_m,
        draught_m=draught_m,
    )
    if filled:
        fill(vessel, plan)
    return vessel


def make_job(
    by: User,
    *,
    vessel: Vessel | None = None,
    customer: Customer | None = None,
    stage: str = "enquiry",
) -> Job:
    make_tax_group()
    job = Job.open(
        vessel=vessel or make_vessel(),
        customer=customer or make_customer(),
        by=by,
        today=OPENED,
    )
    if stage != "enquiry":
        Job.objects.filter(pk=job.pk).update(stage=stage)
        job.refresh_from_db()
    return job


def zone_of(job: Job, code: str) -> Zone:
    return job.vessel.zones.get(code=code)
