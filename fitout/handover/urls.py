from django.urls import URLPattern, URLResolver

app_name = "handover"

urlpatterns: list[URLPattern | URLResolver] = []
