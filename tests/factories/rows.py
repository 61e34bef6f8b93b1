"""Plain rows for tests of the kit, which needs some model to work on."""

from decimal import Decimal

from catalogue.models import Category, Kit, KitItem, LabourOperation, Trade


def make_trade(name: str = "Rigging", code: str = "rig") -> Trade:
    return Trade.objects.create(
        name=name, code=code, sell_per_h=Decimal(50), cost_per_h=Decimal(30)
    )


def make_kit(*, items: int) -> Kit:
    kit = Kit.objects.create(code="K-1", description="Kit", category=Category.values[0])
    for _ in range(items):
        add_item(kit)
    return kit


def add_item(kit: Kit) -> KitItem:
    operation = LabourOperation.objects.filter(code="op").first() or LabourOperation.objects.create(
        code="op", description="Fit", trade=make_trade(), standard_h=Decimal(1)
    )
    return KitItem.objects.create(kit=kit, operation=operation, quantity=Decimal("2.5"))
