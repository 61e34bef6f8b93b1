from django.apps import AppConfig


class PurchasingConfig(AppConfig):
    name = "fitout.purchasing"
    label = "purchasing"
    verbose_name = "Purchasing"
    default_auto_field = "django.db.models.BigAutoField"
