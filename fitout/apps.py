from django.apps import AppConfig


class FitoutConfig(AppConfig):
    name = "fitout"
    label = "fitout"
    verbose_name = "Fitout"
