"""What a job costs and sells for: pure arithmetic on the rows of a build sheet.

Sell price = cost × (1 + mark-up), unless a person set a price. Labour = standard time ×
conditions × rate. Totals follow EN 16931: line amounts, document allowance per tax group,
tax per group on the group's taxable amount, total.

Every amount is rounded once, to cents, where a document would print it: the price each, the
line amount, the allowance of a group, the tax of a group. Totals are sums of rounded amounts,
so a reader can check any of them with a pencil.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from fitout.kit.money import round_money

ZERO = Decimal("0.00")
HUNDRED = Decimal(100)


@dataclass(frozen=True, kw_only=True)
class TaxKey:
    """A tax group: the category code of EN 16931 (S, Z, E, AE) and its rate."""

    category_code: str
    rate_pct: Decimal


@dataclass(frozen=True, kw_only=True)
class SheetRow:
    """One line of the build sheet, as pricing sees it.

    `quantity` is the effective one: per job, not per parent. `hours` are all hours of the
    line, conditions included.
    """

    id: int
    parent_id: int | None
    is_kit: bool
    is_counted: bool
    quantity: Decimal
    unit_cost: Decimal
    mark_up_pct: Decimal
    hours: Decimal
    labour_cost_per_h: Decimal
    labour_sell_per_h: Decimal
    sell_override: Decimal | None
    tax: TaxKey
    mark_up_from: str = ""


@dataclass(frozen=True, kw_only=True)
class OwnPrice:
    """A row by itself, without what is below it.

    `sell_each` is its cost with mark-up; `price_each` and `net` are what is charged, with its
    labour or as a person set them.
    """

    material_cost: Decimal
    labour_cost: Decimal
    sell_each: Decimal
    material: Decimal
    labour: Decimal
    price_each: Decimal
    net: Decimal


@dataclass(frozen=True, kw_only=True)
class PricedLine:
    """A line with its price. A kit's amounts are those of everything below it.

    `own_net` is the price of the line itself, without what is below it.
    """

    id: int
    price_each: Decimal
    material_cost: Decimal
    labour_cost: Decimal
    hours: Decimal
    own_net: Decimal
    net: Decimal
    is_overridden: bool
    is_inside_overridden: bool
    is_counted: bool

    @property
    def cost(self) -> Decimal:
        return self.material_cost + self.labour_cost

    @property
    def margin(self) -> Decimal:
        return self.net - self.cost

    @property
    def margin_pct(self) -> Decimal | None:
        return share_pct(self.margin, self.net)

    @property
    def mark_up_pct(self) -> Decimal | None:
        return share_pct(self.margin, self.cost)


@dataclass(frozen=True, kw_only=True)
class TaxRow:
    category_code: str
    rate_pct: Decimal
    lines: Decimal
    allowance: Decimal
    taxable: Decimal
    tax: Decimal


@dataclass(frozen=True, kw_only=True)
class Totals:
    """What a document comes to, from its tax breakdown."""

    tax_rows: tuple[TaxRow, ...]

    @property
    def lines_total(self) -> Decimal:
        return sum((row.lines for row in self.tax_rows), ZERO)

    @property
    def discount_total(self) -> Decimal:
        return sum((row.allowance for row in self.tax_rows), ZERO)

    @property
    def net(self) -> Decimal:
        return sum((row.taxable for row in self.tax_rows), ZERO)

    @property
    def tax(self) -> Decimal:
        return sum((row.tax for row in self.tax_rows), ZERO)

    @property
    def gross(self) -> Decimal:
        return self.net + self.tax


@dataclass(frozen=True, kw_only=True)
class Price(Totals):
    """`shares` is the net of each top line by tax group."""

    lines: Mapping[int, PricedLine]
    shares: Mapping[int, Mapping[TaxKey, Decimal]]
    cost: Decimal
    hours: Decimal
    options_net: Decimal

    @property
    def margin(self) -> Decimal:
        return self.net - self.cost

    @property
    def margin_pct(self) -> Decimal | None:
        """Margin as a share of the selling price."""
        return share_pct(self.margin, self.net)

    @property
    def mark_up_pct(self) -> Decimal | None:
        """Margin as a share of the cost."""
        return share_pct(self.margin, self.cost)


def share_pct(part: Decimal, whole: Decimal) -> Decimal | None:
    """`part` as a percentage of `whole`; None when there is no whole."""
    if not whole:
        return None
    return (part * HUNDRED / whole).quantize(Decimal("0.1"))


def sell_each(unit_cost: Decimal, mark_up_pct: Decimal) -> Decimal:
    return round_money(unit_cost * (HUNDRED + mark_up_pct) / HUNDRED)


def price_job(rows: Sequence[SheetRow], *, discount_pct: Decimal = ZERO) -> Price:
    """Price every row and the whole. Rows may come in any order; parents must be among them."""
    children: defaultdict[int | None, list[SheetRow]] = defaultdict(list)
    for row in rows:
        children[row.parent_id].append(row)
    priced: dict[int, PricedLine] = {}
    shares: dict[int, dict[TaxKey, Decimal]] = {}
    for top in children[None]:
        shares[top.id] = _price_branch(top, children, priced, inside_overridden=False)
    counted = [row for row in children[None] if row.is_counted]
    left_out = [row for row in children[None] if not row.is_counted]
    tax_rows = tax_by_group((shares[row.id] for row in counted), discount_pct=discount_pct)
    return _total(priced, shares, counted, left_out, tax_rows)


def _price_branch(
    row: SheetRow,
    children: Mapping[int | None, Sequence[SheetRow]],
    priced: dict[int, PricedLine],
    *,
    inside_overridden: bool,
) -> dict[TaxKey, Decimal]:
    """Price `row` and all below it; return its net by tax group."""
    is_overridden = row.sell_override is not None
    shares: defaultdict[TaxKey, Decimal] = defaultdict(lambda: ZERO)
    own = own_price(row)
    material, labour, hours = own.material_cost, own.labour_cost, row.hours
    for child in children.get(row.id, ()):
        below = _price_branch(
            child, children, priced, inside_overridden=inside_overridden or is_overridden
        )
        for key, amount in below.items():
            shares[key] += amount
        line = priced[child.id]
        material, labour, hours = (
            material + line.material_cost,
            labour + line.labour_cost,
            hours + line.hours,
        )
    if row.sell_override is not None:
        shares = defaultdict(lambda: ZERO, {row.tax: own.net})
    elif own.net:
        shares[row.tax] += own.net
    total = sum(shares.values(), ZERO)
    priced[row.id] = PricedLine(
        id=row.id,
        price_each=(
            own.price_each if not row.is_kit or is_overridden else round_money(total / row.quantity)
        ),
        material_cost=material,
        labour_cost=labour,
        hours=hours,
        own_net=own.net,
        net=total,
        is_overridden=is_overridden,
        is_inside_overridden=inside_overridden,
        is_counted=row.is_counted,
    )
    return dict(shares)


def own_price(row: SheetRow) -> OwnPrice:
    """Costs and price of the row itself."""
    each = ZERO if row.is_kit else sell_each(row.unit_cost, row.mark_up_pct)
    material = round_money(each * row.quantity)
    labour = round_money(row.hours * row.labour_sell_per_h)
    net = material + labour
    price_each = round_money(net / row.quantity) if labour else each
    if row.sell_override is not None:
        price_each, net = row.sell_override, round_money(row.sell_override * row.quantity)
    return OwnPrice(
        material_cost=ZERO if row.is_kit else round_money(row.unit_cost * row.quantity),
        labour_cost=round_money(row.hours * row.labour_cost_per_h),
        sell_each=each,
        material=material,
        labour=labour,
        price_each=price_each,
        net=net,
    )


def tax_by_group(
    shares: Iterable[Mapping[TaxKey, Decimal]], *, discount_pct: Decimal
) -> tuple[TaxRow, ...]:
    """The tax breakdown of EN 16931 (BG-23): one row per category and rate, highest rate first."""
    sums: defaultdict[TaxKey, Decimal] = defaultdict(lambda: ZERO)
    for share in shares:
        for key, amount in share.items():
            sums[key] += amount
    rows = []
    for key in sorted(sums, key=lambda k: (-k.rate_pct, k.category_code)):
        allowance = round_money(sums[key] * discount_pct / HUNDRED)
        taxable = sums[key] - allowance
        rows.append(
            TaxRow(
                category_code=key.category_code,
                rate_pct=key.rate_pct,
                lines=sums[key],
                allowance=allowance,
                taxable=taxable,
                tax=round_money(taxable * key.rate_pct / HUNDRED),
            )
        )
    return tuple(rows)


def _total(
    priced: Mapping[int, PricedLine],
    shares: Mapping[int, Mapping[TaxKey, Decimal]],
    counted: Sequence[SheetRow],
    left_out: Sequence[SheetRow],
    tax_rows: tuple[TaxRow, ...],
) -> Price:
    lines = [priced[row.id] for row in counted]
    return Price(
        lines=priced,
        shares=shares,
        tax_rows=tax_rows,
        cost=sum((line.cost for line in lines), ZERO),
        hours=sum((line.hours for line in lines), Decimal(0)),
        options_net=sum((priced[row.id].net for row in left_out), ZERO),
    )


def split_by_shares(total: Decimal, shares_pct: Sequence[Decimal]) -> tuple[Decimal, ...]:
    """Split an amount by percentages that sum to 100; the last part takes the odd cents."""
    if not shares_pct or sum(shares_pct) != HUNDRED:
        raise ValueError(f"Payment stages: {sum(shares_pct)} % in all; 100 % needed.")
    parts = [round_money(total * share / HUNDRED) for share in shares_pct[:-1]]
    return (*parts, total - sum(parts, ZERO))
