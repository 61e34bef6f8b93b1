from django.db import migrations

from fitout.kit.triggers import frozen_when


class Migration(migrations.Migration):
    dependencies = [("workshop", "0001_initial")]

    operations = [frozen_when("workshop_workorder", "OLD.document_id IS NOT NULL")]
