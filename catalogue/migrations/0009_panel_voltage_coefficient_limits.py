from decimal import Decimal
from typing import Any

import django.core.validators
from django.db import migrations, models
from django.db.models import Q

LOW, HIGH = Decimal("-1"), Decimal("-0.05")


def leave_untold(apps: Any, _schema_editor: Any) -> None:
    """A slip of the unit hid the cold; not known, the printed table of factors decides."""
    slips = Q(voc_coefficient_pct_per_c__lt=LOW) | Q(voc_coefficient_pct_per_c__gt=HIGH)
    panels = apps.get_model("catalogue", "SolarPanelData").objects
    panels.filter(slips).update(voc_coefficient_pct_per_c=None)


class Migration(migrations.Migration):
    dependencies = [
        ("catalogue", "0008_makers_curves"),
    ]

    operations = [
        migrations.RunPython(leave_untold, migrations.RunPython.noop),
        migrations.AlterField(
            model_name="solarpaneldata",
            name="voc_coefficient_pct_per_c",
            field=models.DecimalField(
                blank=True,
                decimal_places=3,
                max_digits=5,
                null=True,
                validators=[
                    django.core.validators.MinValueValidator(LOW),
                    django.core.validators.MaxValueValidator(HIGH),
                ],
                verbose_name="change of open-circuit voltage",
            ),
        ),
        migrations.AddConstraint(
            model_name="solarpaneldata",
            constraint=models.CheckConstraint(
                condition=Q(voc_coefficient_pct_per_c__isnull=True)
                | Q(voc_coefficient_pct_per_c__gte=LOW, voc_coefficient_pct_per_c__lte=HIGH),
                name="solar_panel_voltage_coefficient_of_a_cell",
            ),
        ),
    ]
