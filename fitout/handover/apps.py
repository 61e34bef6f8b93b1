from django.apps import AppConfig


class HandoverConfig(AppConfig):
    name = "fitout.handover"
    label = "handover"
    verbose_name = "Handover"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from fitout.handover.access import ACTIONS, URLS
        from fitout.handover.guard import guard_stage
        from fitout.jobs import guards
        from fitout.kit import access

        access.register(ACTIONS, URLS)
        guards.register(guard_stage)
