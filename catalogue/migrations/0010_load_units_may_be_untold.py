import django.core.validators
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("catalogue", "0009_panel_voltage_coefficient_limits"),
    ]

    operations = [
        migrations.AlterField(
            model_name="datadevicedata",
            name="load_units",
            field=models.PositiveSmallIntegerField(
                blank=True,
                null=True,
                validators=[
                    django.core.validators.MinValueValidator(1),
                    django.core.validators.MaxValueValidator(20),
                ],
                verbose_name="load units (50 mA each)",
            ),
        ),
    ]
