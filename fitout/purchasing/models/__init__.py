from fitout.purchasing.models.orders import (
    ORDER_MOVES,
    GoodsReceipt,
    OrderStatus,
    PurchaseOrder,
    PurchaseOrderLine,
    ReceiptLine,
)
from fitout.purchasing.models.stock import Movement, MovementKind, SerialNumber

__all__ = [
    "ORDER_MOVES",
    "GoodsReceipt",
    "Movement",
    "MovementKind",
    "OrderStatus",
    "PurchaseOrder",
    "PurchaseOrderLine",
    "ReceiptLine",
    "SerialNumber",
]
