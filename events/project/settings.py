"""Settings, read from the environment. Every value has a default that is safe to run with.

BUOYLINE_STATE     folder of the local state: database, secret key, web fonts (.buoyline)
SECRET_KEY         signs sessions and links; default a random key kept in the state folder
DEBUG              false; true shows the details of an error to every visitor
ALLOWED_HOSTS      host names the site answers to, with commas between (this computer only)
DATABASE_URL       default an SQLite file in the state folder
EMAIL_URL          default: mail is printed on the console; DEFAULT_FROM_EMAIL names the sender
HTTPS              true where visitors come by https: cookies are then sent by https only
HSTS_SECONDS       how long browsers must insist on https (0 = not said)
TRUST_PROXY        true behind a proxy that sets X-Forwarded-Proto itself
CSRF_TRUSTED_ORIGINS  origins with scheme, with commas between, if the proxy changes the host
PRODUCTION         true serves the compressed files that `collectstatic` has written
TIME_ZONE          an IANA name such as Europe/Paris (UTC)
LOG_LEVEL          INFO
"""

import sys
from pathlib import Path
from typing import Any

import environ
from django.core.exceptions import ImproperlyConfigured

from events.project.state import secret_key, writable_folder

env = environ.Env()

BASE_DIR = Path(__file__).resolve().parents[2]
try:
    chosen = env("BUOYLINE_STATE", default="")
    STATE_DIR = writable_folder(Path(chosen) if chosen else BASE_DIR / ".buoyline")
    GENERATED_STATIC_DIR = writable_folder(STATE_DIR / "static")
    STATIC_ROOT = writable_folder(STATE_DIR / "collected")
    SECRET_KEY = env("SECRET_KEY", default="") or secret_key(STATE_DIR / "secret-key.txt")
except OSError as error:
    raise ImproperlyConfigured(
        f"The local state cannot be written ({error}): make the folder writable, or name "
        "another with BUOYLINE_STATE=FOLDER."
    ) from error

DEBUG = env.bool("DEBUG", default=False)
ALLOWED_HOSTS = env.list("ALLOWED_HOSTS", default=["localhost", "127.0.0.1", "[::1]"])
PRODUCTION = env.bool("PRODUCTION", default=False)
HTTPS = env.bool("HTTPS", default=False)

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.contrib.humanize",
    "crispy_forms",
    "django_htmx",
    "events.apps.EventsConfig",
    "riders.apps.RidersConfig",
    "runsheets.apps.RunsheetsConfig",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
]

ROOT_URLCONF = "events.project.urls"
WSGI_APPLICATION = "events.project.wsgi.application"
ASGI_APPLICATION = "events.project.asgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "events.context.offices",
            ],
        },
    },
]
CRISPY_TEMPLATE_PACK = "buoyline"
CRISPY_ALLOWED_TEMPLATE_PACKS = ("buoyline",)

# Database. Several people save at the same time on the day: write-ahead logging lets readers
# go on, and taking the write lock at the start of a transaction makes writers queue for up to
# `timeout` seconds where SQLite would otherwise refuse the second one at once.
SQLITE_OPTIONS = {
    "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL;",
    "transaction_mode": "IMMEDIATE",
    "timeout": 20,
}
database: dict[str, Any] = {
    "ENGINE": "django.db.backends.sqlite3",
    "NAME": STATE_DIR / "db.sqlite3",
}
if env("DATABASE_URL", default=""):
    database = dict(env.db("DATABASE_URL"))
if database["ENGINE"] == "django.db.backends.sqlite3":
    database["OPTIONS"] = SQLITE_OPTIONS | database.get("OPTIONS", {})
DATABASES = {"default": database}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

# Sign-in.
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "home"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]

# Static files. WhiteNoise serves them with DEBUG on or off, straight from where they lie, so
# that nothing has to be collected first. PRODUCTION turns to the compressed and hashed copies
# once they exist; until then pages work with the plain ones.
STATIC_URL = "/static/"
STATICFILES_DIRS = [GENERATED_STATIC_DIR]
WHITENOISE_USE_FINDERS = True
collected = (STATIC_ROOT / "staticfiles.json").exists() or sys.argv[1:2] == ["collectstatic"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": (
            "whitenoise.storage.CompressedManifestStaticFilesStorage"
            if PRODUCTION and collected
            else "django.contrib.staticfiles.storage.StaticFilesStorage"
        ),
    },
}

# Language and time.
LANGUAGE_CODE = "en-gb"
TIME_ZONE = env("TIME_ZONE", default="UTC")
USE_I18N = True
USE_TZ = True

# Security.
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_HSTS_SECONDS = env.int("HSTS_SECONDS", default=0)
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SECURE = HTTPS
CSRF_COOKIE_SECURE = HTTPS
CSRF_TRUSTED_ORIGINS = env.list("CSRF_TRUSTED_ORIGINS", default=[])
if env.bool("TRUST_PROXY", default=False):
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
# A pasted table of 200 rows of 12 fields is to be read and answered with a clear sentence.
DATA_UPLOAD_MAX_NUMBER_FIELDS = 20_000

# Mail.
vars().update(env.email("EMAIL_URL", default="consolemail://"))
DEFAULT_FROM_EMAIL = env("DEFAULT_FROM_EMAIL", default="buoyline@localhost")

# Log: one line per event, on the console.
LOG_LEVEL = env("LOG_LEVEL", default="INFO").upper()
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    "loggers": {
        name: {"handlers": ["console"], "level": LOG_LEVEL, "propagate": False}
        for name in ("django", "events", "riders", "runsheets")
    }
    # Robots ask for other host names all day; they get 400, and the log stays readable.
    | {"django.security.DisallowedHost": {"handlers": [], "propagate": False}},
}
