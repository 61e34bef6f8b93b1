from django.apps import AppConfig


class KitConfig(AppConfig):
    name = "fitout.kit"
    label = "kit"
    verbose_name = "Kit"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from . import access, checks, policy  # noqa: F401 - checks register themselves

        access.register(policy.ACTIONS, policy.URLS)
