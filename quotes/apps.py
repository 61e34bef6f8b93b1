from django.apps import AppConfig


class QuotesConfig(AppConfig):
    name = "quotes"
    label = "quotes"
    verbose_name = "Quotes"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from fitout.jobs import figures, guards
        from fitout.kit import access
        from quotes.acceptance import guard_stage
        from quotes.access import ACTIONS, URLS
        from quotes.sheet_rows import own_prices
        from quotes.workings import explain_price

        access.register(ACTIONS, URLS)
        guards.register(guard_stage)
        figures.register_prices(own_prices)
        figures.register_explanation(explain_price)
