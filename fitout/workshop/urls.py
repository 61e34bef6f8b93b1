from django.urls import URLPattern, URLResolver

app_name = "workshop"

urlpatterns: list[URLPattern | URLResolver] = []
