"""What the estimator sees before issuing: price, cost and margin by zone and in all."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from fitout.jobs.models import Zone
from fitout.jobs.sheet import SheetLine
from quotes.pricing import Price, PricedLine, share_pct
from quotes.sheet_rows import PricedSheet

ZERO = Decimal("0.00")


@dataclass(frozen=True, kw_only=True)
class ZoneTotal:
    zone: Zone
    count: int
    hours: Decimal
    cost: Decimal
    net: Decimal

    @property
    def margin(self) -> Decimal:
        return self.net - self.cost

    @property
    def margin_pct(self) -> Decimal | None:
        return share_pct(self.margin, self.net)


@dataclass(frozen=True, kw_only=True)
class Overview:
    price: Price
    zones: tuple[ZoneTotal, ...]
    overrides: tuple[tuple[SheetLine, PricedLine], ...]
    option_count: int


def overview(sheet: PricedSheet) -> Overview:
    price = sheet.price
    used = {line.zone_id for line in sheet.top_lines}
    zones = Zone.objects.filter(pk__in=used)
    return Overview(
        price=price,
        zones=tuple(_zone_total(sheet, zone) for zone in zones),
        overrides=tuple(
            (line, price.lines[line.id])
            for line in sheet.lines
            if price.lines[line.id].is_overridden
        ),
        option_count=sum(not line.counts for line in sheet.top_lines),
    )


def _zone_total(sheet: PricedSheet, zone: Zone) -> ZoneTotal:
    lines = [
        sheet.price.lines[line.id]
        for line in sheet.top_lines
        if line.zone_id == zone.pk and line.counts
    ]
    return ZoneTotal(
        zone=zone,
        count=len(lines),
        hours=sum((line.hours for line in lines), Decimal(0)),
        cost=sum((line.cost for line in lines), ZERO),
        net=sum((line.net for line in lines), ZERO),
    )
