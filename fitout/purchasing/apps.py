from django.apps import AppConfig


class PurchasingConfig(AppConfig):
    name = "fitout.purchasing"
    label = "purchasing"
    verbose_name = "Purchasing"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from fitout.jobs import figures
        from fitout.kit import access
        from fitout.purchasing.access import ACTIONS, URLS
        from fitout.purchasing.columns import follow_lines

        access.register(ACTIONS, URLS)
        figures.register_follow_up(follow_lines)
