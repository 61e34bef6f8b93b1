from fitout.purchasing.models.orders import (
    GoodsReceipt,
    OrderStatus,
    PurchaseOrder,
    PurchaseOrderLine,
    ReceiptLine,
)
from fitout.purchasing.models.stock import Movement, MovementKind, SerialNumber

__all__ = [
    "GoodsReceipt",
    "Movement",
    "MovementKind",
    "OrderStatus",
    "PurchaseOrder",
    "PurchaseOrderLine",
    "ReceiptLine",
    "SerialNumber",
]
