"""A price list keeps all its cells, so that its columns can be told again."""

from typing import Any

from django.db import migrations, models


def keep_cells(apps: Any, schema_editor: Any) -> None:
    for price_list in apps.get_model("catalogue", "PriceList").objects.all():
        names = list(price_list.columns)
        price_list.heads = [price_list.columns[name] for name in names] + price_list.ignored
        price_list.lines = [[row.get(name, "") for name in names] for row in price_list.rows]
        price_list.save(update_fields=["heads", "lines"])


class Migration(migrations.Migration):
    dependencies = [("catalogue", "0003_circuit_work")]

    operations = [
        migrations.AddField("pricelist", "heads", models.JSONField(default=list)),
        migrations.AddField("pricelist", "lines", models.JSONField(default=list)),
        migrations.RunPython(keep_cells, migrations.RunPython.noop),
        migrations.RemoveField("pricelist", "ignored"),
        migrations.RemoveField("pricelist", "rows"),
    ]
