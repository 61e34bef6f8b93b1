from django.apps import AppConfig


class HandoverConfig(AppConfig):
    name = "fitout.handover"
    label = "handover"
    verbose_name = "Handover"
    default_auto_field = "django.db.models.BigAutoField"
