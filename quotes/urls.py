from django.urls import URLPattern, URLResolver

app_name = "quotes"

urlpatterns: list[URLPattern | URLResolver] = []
