from django.urls import URLPattern, URLResolver, include, path

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include("fitout.kit.urls")),
    path("", include("catalogue.urls")),
    path("", include("fitout.jobs.urls")),
    path("", include("electrical.urls")),
    path("", include("quotes.urls")),
    path("", include("fitout.purchasing.urls")),
    path("", include("fitout.workshop.urls")),
    path("", include("fitout.handover.urls")),
    path("", include("fitout.home.urls")),
]
