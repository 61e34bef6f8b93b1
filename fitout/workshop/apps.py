from django.apps import AppConfig


class WorkshopConfig(AppConfig):
    name = "fitout.workshop"
    label = "workshop"
    verbose_name = "Workshop"
    default_auto_field = "django.db.models.BigAutoField"
