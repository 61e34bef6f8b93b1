from django.urls import URLPattern, URLResolver

app_name = "electrical"

urlpatterns: list[URLPattern | URLResolver] = []
