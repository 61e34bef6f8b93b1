from django.apps import AppConfig


class CatalogueConfig(AppConfig):
    name = "catalogue"
    label = "catalogue"
    verbose_name = "Catalogue"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from catalogue import access as rows
        from fitout.kit import access

        access.register(rows.ACTIONS, rows.URLS)
