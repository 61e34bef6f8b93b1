from django.apps import AppConfig


class ElectricalConfig(AppConfig):
    name = "electrical"
    label = "electrical"
    verbose_name = "Electrical"
    default_auto_field = "django.db.models.BigAutoField"
