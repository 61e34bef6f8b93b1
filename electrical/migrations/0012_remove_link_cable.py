"""Leads of an emergency parallel switch are circuits, whose cable is told with them."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [
        ("electrical", "0011_carry_link_cable"),
    ]

    operations = [migrations.RemoveField(model_name="device", name="link_cable")]
