from django.urls import URLPattern, URLResolver

app_name = "purchasing"

urlpatterns: list[URLPattern | URLResolver] = []
