from django.db import migrations

from fitout.kit.triggers import append_only, frozen_when

ORDER = [
    "supplier_id",
    "job_id",
    "sequence",
    "created_on",
    "ordered_on",
    "carriage",
    "note",
    "document_id",
]


class Migration(migrations.Migration):
    dependencies = [("purchasing", "0001_initial")]

    operations = [
        frozen_when("purchasing_purchaseorder", "OLD.document_id IS NOT NULL", columns=ORDER),
        frozen_when("purchasing_purchaseorderline", "OLD.is_sent"),
        append_only("purchasing_goodsreceipt"),
        append_only("purchasing_receiptline"),
        append_only("purchasing_movement"),
    ]
