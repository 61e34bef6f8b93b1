"""The purchase order as a document for the supplier."""

from __future__ import annotations

from fitout.kit.money import round_money
from fitout.kit.pdf import render_pdf
from fitout.purchasing.models import PurchaseOrder
from fitout.purchasing.ordering import total


def order_pdf(order: PurchaseOrder) -> bytes:
    lines = list(order.lines.select_related("part"))
    goods = total(order, lines)
    rows = [
        {
            "line": line,
            "packs": line.quantity / line.pack_quantity,
            "amount": round_money(line.quantity * line.unit_cost),
        }
        for line in lines
    ]
    context = {
        "order": order,
        "supplier": order.supplier,
        "job": order.job,
        "rows": rows,
        "goods": goods,
        "total": goods + order.carriage,
    }
    return render_pdf("purchasing/print/order.html", context)
