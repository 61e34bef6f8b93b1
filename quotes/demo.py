"""Demo: the workshop's mark-ups and its standard wording."""

from decimal import Decimal

from fitout.kit.models import User
from quotes.models import MarkUp, StandardTerms

MARK_UPS = {
    "": "32",
    "cable": "48",
    "terminals": "55",
    "protection": "40",
    "fixings": "60",
    "engines": "11",
    "navigation": "20",
    "power": "24",
    "seats": "26",
}
INCLUSIONS = """All parts, cable, terminals and labels named in the lines above
Electrical design with checks, circuit list and single-line diagram
Trials afloat or on the road, half a day
Handover pack: diagram, circuit list, register, test results, maintenance list"""
EXCLUSIONS = """Fuel, berthing and craning
Mains (AC) work, which a licensed electrician quotes for
Registration, survey and insurance
Work found necessary on the hull as delivered; we show it and price it as a variation first"""
TERMS = """Prices hold until the date on the cover and are in euro.
Extras are agreed in writing as variations before they are done.
Provisional sums are charged at what they come to, with receipts.
Parts stay ours until they are paid for.
Dates follow the payment stages and the suppliers' deliveries; we tell you when one moves.
Workmanship is guaranteed for 24 months, equipment by its maker for the time in the register.
The electrical design is a design aid to competent work; local codes and a licensed person decide."""


def load(by: User) -> None:
    for category, mark_up_pct in MARK_UPS.items():
        MarkUp.objects.get_or_create(
            category=category,
            defaults={"mark_up_pct": Decimal(mark_up_pct), "changed_by": by},
        )
    if not StandardTerms.objects.exists():
        StandardTerms.objects.create(
            inclusions=INCLUSIONS, exclusions=EXCLUSIONS, terms=TERMS, changed_by=by
        )
