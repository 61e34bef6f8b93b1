from django.apps import AppConfig


class ElectricalConfig(AppConfig):
    name = "electrical"
    label = "electrical"
    verbose_name = "Electrical"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from electrical import access
        from electrical.devices import circuits_of_lines
        from electrical.following import MODELS, follow
        from fitout.jobs import figures
        from fitout.kit import access as policy
        from fitout.kit import audit

        policy.register(access.ACTIONS, access.URLS)
        figures.register_circuits(circuits_of_lines)
        audit.register_follower(MODELS, follow)
