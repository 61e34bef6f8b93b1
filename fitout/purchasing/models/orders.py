"""Purchase orders to suppliers and the goods receipts that answer them."""

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import Q, Sum

from catalogue.models import Part, Supplier
from fitout.jobs.models import Job
from fitout.kit.models import Document, Versioned
from fitout.kit.numbering import format_number


class OrderStatus(models.TextChoices):
    DRAFT = "draft", "Draft"
    ORDERED = "ordered", "Ordered"
    PART_RECEIVED = "part_received", "Part received"
    RECEIVED = "received", "Received"
    CANCELLED = "cancelled", "Cancelled"


ORDER_MOVES: dict[str, tuple[str, ...]] = {
    OrderStatus.DRAFT: (OrderStatus.ORDERED, OrderStatus.CANCELLED),
    OrderStatus.ORDERED: (
        OrderStatus.PART_RECEIVED,
        OrderStatus.RECEIVED,
        OrderStatus.CANCELLED,
    ),
    OrderStatus.PART_RECEIVED: (OrderStatus.RECEIVED,),
    OrderStatus.RECEIVED: (),
    OrderStatus.CANCELLED: (),
}


class PurchaseOrder(Versioned):
    """The number is given when it is sent; a draft has none."""

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="orders")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="purchase_orders")
    sequence = models.PositiveIntegerField(null=True, unique=True)
    status = models.CharField(max_length=14, choices=OrderStatus.choices, default=OrderStatus.DRAFT)
    created_on = models.DateField()
    ordered_on = models.DateField(null=True, blank=True)
    due_on = models.DateField(null=True, blank=True)
    carriage = models.DecimalField(max_digits=8, decimal_places=2, default=Decimal("0.00"))
    note = models.CharField(max_length=400, blank=True)
    document = models.ForeignKey(Document, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-sequence", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(status__in=["draft", "cancelled"])
                | Q(sequence__isnull=False, ordered_on__isnull=False),
                name="order_sent_has_number_and_date",
            )
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def number(self) -> str:
        if self.sequence is None:
            return f"Draft {self.pk}"
        return format_number("purchase_order", self.sequence)


class PurchaseOrderLine(models.Model):
    order = models.ForeignKey(PurchaseOrder, on_delete=models.CASCADE, related_name="lines")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="order_lines")
    supplier_code = models.CharField(max_length=60, blank=True)
    description = models.CharField(max_length=200)
    unit = models.CharField(max_length=6)
    quantity = models.DecimalField(max_digits=9, decimal_places=2)
    pack_quantity = models.DecimalField(max_digits=9, decimal_places=2, default=Decimal("1"))
    unit_cost = models.DecimalField(max_digits=10, decimal_places=2)
    position = models.PositiveSmallIntegerField(default=0)
    is_sent = models.BooleanField(default=False, editable=False)

    class Meta:
        ordering = ["position", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(quantity__gt=0), name="order_quantity_positive"),
            models.UniqueConstraint(fields=["order", "part"], name="part_once_per_order"),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} × {self.description}"


class GoodsReceipt(models.Model):
    """What came, when, on which delivery note. Append-only."""

    order = models.ForeignKey(PurchaseOrder, on_delete=models.PROTECT, related_name="receipts")
    sequence = models.PositiveIntegerField(unique=True)
    received_at = models.DateTimeField()
    received_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    delivery_note = models.CharField(max_length=60, blank=True)
    remark = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["-sequence"]

    def __str__(self) -> str:
        return format_number("goods_receipt", self.sequence)


class ReceiptLineQuerySet(models.QuerySet["ReceiptLine"]):
    def came(self) -> dict[int, Decimal]:
        """What was accepted in all, by order line."""
        rows = self.values_list("order_line").annotate(total=Sum("quantity"))
        return dict(rows.order_by())


class ReceiptLine(models.Model):
    """Append-only. `rejected` came damaged or wrong and stays on back-order."""

    receipt = models.ForeignKey(GoodsReceipt, on_delete=models.PROTECT, related_name="lines")
    order_line = models.ForeignKey(
        PurchaseOrderLine, on_delete=models.PROTECT, related_name="receipt_lines"
    )
    quantity = models.DecimalField(max_digits=9, decimal_places=2)
    rejected = models.DecimalField(max_digits=9, decimal_places=2, default=Decimal("0"))

    objects = ReceiptLineQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(quantity__gte=0) & Q(rejected__gte=0), name="receipt_not_negative"
            )
        ]

    def __str__(self) -> str:
        return f"{self.quantity} of {self.order_line}"
