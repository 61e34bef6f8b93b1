from django.apps import AppConfig


class JobsConfig(AppConfig):
    name = "fitout.jobs"
    label = "jobs"
    verbose_name = "Jobs"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from fitout.kit import access as policy
        from fitout.kit import undo

        from . import access

        policy.register(access.ACTIONS, access.URLS)
        undo.SCOPE_STAGES["job"] = access.stage_of
