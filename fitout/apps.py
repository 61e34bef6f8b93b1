from django.apps import AppConfig


class FitoutConfig(AppConfig):
    name = "fitout"
    label = "fitout"
    verbose_name = "Fitout"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from fitout.home.access import ACTIONS, URLS
        from fitout.kit import access

        access.register(ACTIONS, URLS)
