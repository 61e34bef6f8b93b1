from django.apps import AppConfig


class ElectricalConfig(AppConfig):
    name = "electrical"
    label = "electrical"
    verbose_name = "Electrical"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from electrical import access
        from electrical.devices import circuits_of_lines
        from fitout.jobs import figures
        from fitout.kit import access as policy

        policy.register(access.ACTIONS, access.URLS)
        figures.register_circuits(circuits_of_lines)
