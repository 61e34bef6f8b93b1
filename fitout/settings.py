"""Settings, all from the environment; nonsense is refused at start."""

from pathlib import Path

from csp.constants import NONE, SELF

from . import environment
from .database import prefer_bundled_sqlite

prefer_bundled_sqlite()

BASE_DIR = Path(__file__).resolve().parent.parent

PRODUCTION = environment.is_production()
DEBUG = not PRODUCTION
SECRET_KEY = environment.secret_key(production=PRODUCTION)
ALLOWED_HOSTS = environment.allowed_hosts(production=PRODUCTION)
CSRF_TRUSTED_ORIGINS = environment.trusted_origins()

INSTALLED_APPS = [
    "fitout.kit",
    "catalogue",
    "fitout.jobs",
    "electrical",
    "quotes",
    "fitout.purchasing",
    "fitout.workshop",
    "fitout.handover",
    "fitout",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.forms",
    "django_htmx",
    "django_tasks",
    "django_tasks_db",
    "axes",
    "csp",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "fitout.kit.limits.LimitsMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "fitout.kit.busy.BusyMiddleware",
    "fitout.kit.pages.PagesMiddleware",
    "fitout.kit.gate.AccessMiddleware",
    "fitout.kit.once.OnceMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "fitout.urls"
WSGI_APPLICATION = "fitout.wsgi.application"
FORM_RENDERER = "fitout.kit.forms.Renderer"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "builtins": [
                "fitout.kit.templatetags.kit",
                "fitout.kit.templatetags.access",
                "fitout.kit.templatetags.look",
            ],
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "fitout.kit.context.workshop",
            ],
        },
    },
]

DATABASES = {"default": environment.database(BASE_DIR)}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

# People and sign-in
AUTH_USER_MODEL = "kit.User"
LOGIN_URL = "kit:sign_in"
LOGIN_REDIRECT_URL = "/"
LOGOUT_REDIRECT_URL = "kit:sign_in"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}", "OPTIONS": options}
    for name, options in (
        ("UserAttributeSimilarityValidator", {"user_attributes": ("username", "display_name")}),
        ("MinimumLengthValidator", {"min_length": 10}),
        ("CommonPasswordValidator", {}),
        ("NumericPasswordValidator", {}),
    )
]
SESSION_COOKIE_AGE = 60 * 60 * 24 * 14
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_HTTPONLY = True
CSRF_FAILURE_VIEW = "fitout.kit.views.errors.csrf_failure"
MESSAGE_STORAGE = "django.contrib.messages.storage.session.SessionStorage"

AXES_ENABLE_ADMIN = False
AXES_FAILURE_LIMIT = environment.whole("SIGN_IN_TRIES", 8, low=3, high=100)
AXES_COOLOFF_TIME = 0.25  # hours
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_LOCKOUT_CALLABLE = "fitout.kit.views.sign_in.locked_out"
AXES_RESET_ON_SUCCESS = True
AXES_RESET_COOL_OFF_ON_FAILURE_DURING_LOCKOUT = False
AXES_HTTP_RESPONSE_CODE = 429
AXES_VERBOSE = False
PROXIES = environment.whole("PROXIES", 0, low=0, high=5)
AXES_CLIENT_IP_CALLABLE = "fitout.kit.addresses.client_address"

# What a page may load: our own files and nothing else; no inline script or style.
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:", "blob:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
        "base-uri": [NONE],
        "object-src": [NONE],
    }
}
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
if PRODUCTION:
    SECURE_SSL_REDIRECT = environment.flag("HTTPS_REDIRECT", default=True)
    SECURE_HSTS_SECONDS = environment.whole("HSTS_SECONDS", 31_536_000, low=0, high=63_072_000)
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True
    SESSION_COOKIE_NAME = "__Host-session"
    CSRF_COOKIE_NAME = "__Host-csrf"
    if PROXIES:
        SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

# Uploads
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 10_000
FILE_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024

# Work behind the scenes
TASKS = {"default": {"BACKEND": environment.task_backend(production=PRODUCTION), "QUEUES": []}}

# Files
STATIC_URL = "static/"
STATICFILES_DIRS = [BASE_DIR / "static"]
STATIC_ROOT = BASE_DIR / "staticfiles"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"
        if PRODUCTION
        else "django.contrib.staticfiles.storage.StaticFilesStorage"
    },
}
MEDIA_ROOT = BASE_DIR / "var" / "media"

# Language and time
LANGUAGE_CODE = "en-gb"
LANGUAGES = [("en-gb", "English")]
TIME_ZONE = environment.time_zone()
USE_TZ = True

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"plain": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "plain"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    "loggers": {
        "fitout": {"level": "INFO"},
        "django.server": {"level": "INFO" if DEBUG else "WARNING"},
        "axes": {"level": "WARNING"},
    },
}
