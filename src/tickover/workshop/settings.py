"""Settings of a tickover workshop. Everything that differs between workshops comes from the environment."""

import os
import secrets
from contextlib import suppress
from pathlib import Path
from urllib.parse import unquote, urlsplit

import dj_database_url

PACKAGE = Path(__file__).resolve().parent
DATA = Path(os.environ.get("TICKOVER_DATA", "workshop-data")).resolve()
FILES = DATA / "files"


def _kept_secret() -> str:
    """The signing key: from the environment, else made once and kept in the data folder."""
    if given := os.environ.get("TICKOVER_SECRET_KEY"):
        return given
    kept = DATA / "secret.key"
    if not kept.exists():
        DATA.mkdir(parents=True, exist_ok=True)
        fresh = DATA / f"secret-{secrets.token_hex(8)}.key"
        fresh.touch(mode=0o600)
        fresh.write_text(secrets.token_urlsafe(50))
        # Whole at once, and the first one stays: two that start together read the same key.
        with suppress(FileExistsError):
            os.link(fresh, kept)
        fresh.unlink()
    return kept.read_text()


SECRET_KEY = _kept_secret()
DEBUG = False
ALLOWED_HOSTS = ["127.0.0.1", "localhost", "[::1]", *os.environ.get("TICKOVER_HOSTS", "").split()]
CSRF_TRUSTED_ORIGINS = [f"https://{host}" for host in os.environ.get("TICKOVER_HOSTS", "").split()]

INSTALLED_APPS = [
    "tickover.workshop.people",
    "tickover.workshop.kernel",
    "tickover.workshop.register",
    "tickover.workshop.programme",
    "tickover.workshop.takeover",
    "tickover.workshop.knowledge",
    "tickover.workshop.instruments",
    "tickover.workshop.photos",
    "tickover.workshop.visits",
    "tickover.workshop.defects",
    "tickover.workshop.fault_finding",
    "tickover.workshop.run_ups",
    "tickover.workshop.calculations",
    "tickover.workshop.web",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "axes",
    "django_htmx",  # for its copy of htmx
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "tickover.workshop.web.middleware.content_security_policy",
    "tickover.workshop.web.middleware.weigh_before_reading",
    "tickover.workshop.web.middleware.leave_room_for_readers",
    "tickover.workshop.web.middleware.refuse_nul",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "tickover.workshop.web.middleware.ask_to_sign_in",
    "tickover.workshop.web.idempotency_middleware.one_form_one_entry",
    "axes.middleware.AxesMiddleware",
]
ROOT_URLCONF = "tickover.workshop.urls"
WSGI_APPLICATION = "tickover.workshop.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [PACKAGE / "web/templates", *sorted(PACKAGE.glob("web/*/templates"))],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "tickover.workshop.web.context.workshop",
            ],
            "builtins": [
                "tickover.workshop.web.templatetags.amounts",
                "tickover.workshop.web.templatetags.form_key",
            ],
        },
    }
]

if os.environ.get("DATABASE_URL"):
    DATABASES = {"default": dj_database_url.config(conn_max_age=60, conn_health_checks=True)}
else:
    DATABASES = {
        "default": {
            "ENGINE": "django.db.backends.sqlite3",
            "NAME": str(DATA / "workshop.sqlite3"),
            "OPTIONS": {
                "timeout": 10,
                "transaction_mode": "IMMEDIATE",
                "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;",
            },
        }
    }
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "people.Person"
AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "people:sign-in"
LOGIN_REDIRECT_URL = "programme:today"
AXES_FAILURE_LIMIT = 8
AXES_COOLOFF_TIME = 0.25
AXES_LOCK_OUT_AT_FAILURE = True
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_ENABLE_ADMIN = False
SILENCED_SYSTEM_CHECKS = ["axes.W003"]

LANGUAGE_CODE = "en-gb"
TIME_ZONE = os.environ.get("TICKOVER_TIME_ZONE", "UTC")
USE_I18N = False
USE_TZ = True

STATIC_URL = "static/"
STATICFILES_DIRS = [PACKAGE / "web/static", *sorted(PACKAGE.glob("web/*/static"))]
STATIC_ROOT = DATA / "static"
WHITENOISE_USE_FINDERS = True
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "whitenoise.storage.CompressedStaticFilesStorage"},
}
THREADS = 12
WRITERS_AT_ONCE = THREADS - 4
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
FILE_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
TRACK_LOG_TO_TRY = "try-this-track-log.igc"
TRACK_LOG_MAX_BYTES = 64 * 1024 * 1024

# Reached under a name of its own, the workshop stands behind a proxy that speaks HTTPS.
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = bool(os.environ.get("TICKOVER_HOSTS"))
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
_smtp = urlsplit(os.environ.get("TICKOVER_SMTP", ""))
EMAIL_BACKEND = f"django.core.mail.backends.{'smtp' if _smtp.hostname else 'console'}.EmailBackend"
EMAIL_HOST, EMAIL_PORT = _smtp.hostname or "", _smtp.port or (465 if _smtp.scheme == "smtps" else 587)
EMAIL_HOST_USER, EMAIL_HOST_PASSWORD = unquote(_smtp.username or ""), unquote(_smtp.password or "")
EMAIL_USE_SSL, EMAIL_USE_TLS = _smtp.scheme == "smtps", _smtp.scheme == "smtp"
EMAIL_TIMEOUT = 20
DEFAULT_FROM_EMAIL = os.environ.get("TICKOVER_MAIL_FROM", EMAIL_HOST_USER or "workshop@localhost")

SESSION_ENGINE = "tickover.workshop.people.session_store"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_NAME = "tickover_session"
CSRF_COOKIE_NAME = "tickover_csrf"
X_FRAME_OPTIONS = "DENY"
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "filters": {"one_line": {"()": "tickover.workshop.serving.log_lines.OneLine"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "filters": ["one_line"]}},
    "loggers": {"axes": {"handlers": ["console"], "level": "WARNING", "propagate": False}},
    "root": {"handlers": ["console"], "level": "WARNING"},
}
