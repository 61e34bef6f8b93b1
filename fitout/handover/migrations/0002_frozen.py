from django.db import migrations

from fitout.kit.triggers import frozen_when


class Migration(migrations.Migration):
    dependencies = [("handover", "0001_initial")]

    operations = [frozen_when("handover_pack", "OLD.document_id IS NOT NULL")]
