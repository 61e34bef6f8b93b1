from django.apps import AppConfig


class WorkshopConfig(AppConfig):
    name = "fitout.workshop"
    label = "workshop"
    verbose_name = "Workshop"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from fitout.kit import access
        from fitout.workshop.access import ACTIONS, URLS

        access.register(ACTIONS, URLS)
