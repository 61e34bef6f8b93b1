"""The database itself keeps the history of costs, whichever way an offer is written."""

from typing import Any

from django.db import migrations

from fitout.kit.triggers import append_only

SQLITE = [
    """
    CREATE TRIGGER catalogue_offer_first_price AFTER INSERT ON catalogue_supplierpart
    BEGIN
        INSERT INTO catalogue_pricechange
            (offer_id, cost, price_date, recorded_at, recorded_by_id)
        VALUES (
            NEW.id, NEW.cost, NEW.price_date,
            strftime('%Y-%m-%d %H:%M:%f', 'now'), NEW.changed_by_id
        );
    END
    """,
    """
    CREATE TRIGGER catalogue_offer_new_price AFTER UPDATE ON catalogue_supplierpart
    WHEN NEW.cost <> OLD.cost OR NEW.price_date <> OLD.price_date
    BEGIN
        INSERT INTO catalogue_pricechange
            (offer_id, cost, price_date, recorded_at, recorded_by_id)
        VALUES (
            NEW.id, NEW.cost, NEW.price_date,
            strftime('%Y-%m-%d %H:%M:%f', 'now'), NEW.changed_by_id
        );
    END
    """,
]

POSTGRESQL = [
    """
    CREATE OR REPLACE FUNCTION catalogue_offer_price() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN
        INSERT INTO catalogue_pricechange
            (offer_id, cost, price_date, recorded_at, recorded_by_id)
        VALUES (NEW.id, NEW.cost, NEW.price_date, clock_timestamp(), NEW.changed_by_id);
        RETURN NULL;
    END $$
    """,
    """
    CREATE TRIGGER catalogue_offer_first_price AFTER INSERT ON catalogue_supplierpart
    FOR EACH ROW EXECUTE FUNCTION catalogue_offer_price()
    """,
    """
    CREATE TRIGGER catalogue_offer_new_price AFTER UPDATE ON catalogue_supplierpart
    FOR EACH ROW WHEN (NEW.cost <> OLD.cost OR NEW.price_date <> OLD.price_date)
    EXECUTE FUNCTION catalogue_offer_price()
    """,
]


def create_triggers(apps: Any, editor: Any) -> None:
    for statement in POSTGRESQL if editor.connection.vendor == "postgresql" else SQLITE:
        editor.execute(statement, params=None)


def drop_triggers(apps: Any, editor: Any) -> None:
    postgresql = editor.connection.vendor == "postgresql"
    on = " ON catalogue_supplierpart" if postgresql else ""
    for name in ("catalogue_offer_first_price", "catalogue_offer_new_price"):
        editor.execute(f"DROP TRIGGER IF EXISTS {name}{on}", params=None)
    if postgresql:
        editor.execute("DROP FUNCTION IF EXISTS catalogue_offer_price()", params=None)


class Migration(migrations.Migration):
    dependencies = [("catalogue", "0001_initial")]

    operations = [
        migrations.RunPython(create_triggers, drop_triggers),
        append_only("catalogue_pricechange"),
    ]
