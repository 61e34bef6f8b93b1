"""A cable told for an emergency parallel switch goes to those of its leads that have none."""

from typing import Any

from django.db import migrations


def carry(apps: Any, schema_editor: Any) -> None:
    device = apps.get_model("electrical", "Device")
    circuit = apps.get_model("electrical", "Circuit")
    for switch in device.objects.exclude(link_cable=None):
        leads = circuit.objects.filter(role="link", members__device=switch, cable=None)
        for lead in leads:
            lead.cable_id, lead.cable_set_by_hand = switch.link_cable_id, True
            lead.save(update_fields=["cable", "cable_set_by_hand"])


class Migration(migrations.Migration):
    dependencies = [
        ("electrical", "0010_panel_strings_and_parallel_conductors"),
    ]

    operations = [migrations.RunPython(carry, migrations.RunPython.noop)]
