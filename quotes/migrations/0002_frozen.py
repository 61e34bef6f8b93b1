from django.db import migrations

from fitout.kit.triggers import append_only, frozen_when

FROZEN = [
    "job_id",
    "sequence",
    "issued_on",
    "issued_at",
    "issued_by_id",
    "valid_until",
    "currency",
    "customer_name",
    "customer_address",
    "vessel_name",
    "vessel_description",
    "inclusions",
    "exclusions",
    "terms",
    "discount_pct",
    "lines_total",
    "discount_total",
    "net_total",
    "tax_total",
    "gross_total",
    "tax_rows",
    "cost_total",
    "hours_total",
    "document_id",
]


class Migration(migrations.Migration):
    dependencies = [("quotes", "0001_initial")]

    operations = [
        append_only("quotes_quoteline"),
        append_only("quotes_paymentstage"),
        append_only("quotes_acceptance"),
        frozen_when("quotes_revision", "OLD.document_id IS NOT NULL", columns=FROZEN),
    ]
