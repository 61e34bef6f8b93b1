from django.urls import URLPattern, URLResolver

app_name = "home"

urlpatterns: list[URLPattern | URLResolver] = []
