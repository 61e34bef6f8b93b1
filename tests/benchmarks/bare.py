"""The least Django worker that answers a page from a database: what ours is compared with."""

import os

import dj_database_url
from django.conf import settings
from django.core.wsgi import get_wsgi_application
from django.http import HttpRequest, HttpResponse
from django.template import engines
from django.urls import path

settings.configure(
    ALLOWED_HOSTS=["localhost"],
    SECRET_KEY="only-for-this-benchmark",
    DATABASES={"default": dj_database_url.parse(os.environ["DATABASE_URL"])},
    INSTALLED_APPS=[
        "django.contrib.contenttypes",
        "django.contrib.auth",
        "django.contrib.sessions",
        "django.contrib.messages",
        "django.contrib.staticfiles",
    ],
    MIDDLEWARE=[
        "django.middleware.security.SecurityMiddleware",
        "django.contrib.sessions.middleware.SessionMiddleware",
        "django.middleware.common.CommonMiddleware",
        "django.middleware.csrf.CsrfViewMiddleware",
        "django.contrib.auth.middleware.AuthenticationMiddleware",
        "django.contrib.messages.middleware.MessageMiddleware",
    ],
    TEMPLATES=[{"BACKEND": "django.template.backends.django.DjangoTemplates"}],
    ROOT_URLCONF=__name__,
)


def page(request: HttpRequest) -> HttpResponse:
    from django.contrib.contenttypes.models import ContentType

    template = engines["django"].from_string("{% for one in kinds %}<p>{{ one.model }}{% endfor %}")
    return HttpResponse(template.render({"kinds": ContentType.objects.all()}, request))


urlpatterns = [path("", page)]
application = get_wsgi_application()
