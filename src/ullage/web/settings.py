"""Settings of the site; what differs between machines comes from the environment."""

import os
from pathlib import Path
from typing import Any

from django.utils.csp import CSP

STATE = Path(os.environ.get("ULLAGE_HOME", Path.home() / ".local/share/ullage"))


def _secret() -> str:
    """The signing key of this installation, made at first use and kept beside the data."""
    from secrets import token_urlsafe

    kept = STATE / "secret"
    if not kept.is_file():
        STATE.mkdir(parents=True, exist_ok=True)
        with os.fdopen(os.open(kept, os.O_WRONLY | os.O_CREAT, 0o600), "w") as opened:
            opened.write(token_urlsafe(50))
    return kept.read_text()


SECRET_KEY = os.environ.get("ULLAGE_SECRET") or _secret()
DEBUG = False
ALLOWED_HOSTS = os.environ.get("ULLAGE_HOSTS", "localhost,127.0.0.1,[::1],testserver").split(",")
CSRF_TRUSTED_ORIGINS = [one for one in os.environ.get("ULLAGE_ORIGINS", "").split(",") if one]

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.forms",
    "django_htmx",
    "django_tasks_db",
    # Ours stand before allauth, so that our templates of its pages are found first.
    "ullage.web.shared",
    "ullage.web.accounts",
    "ullage.web.sites",
    "ullage.web.audit",
    "ullage.web.machines",
    "ullage.web.supply",
    "ullage.web.days",
    "ullage.web.catalogue",
    "ullage.web.checks",
    "ullage.web.service",
    "ullage.web.stock",
    "ullage.web.exposure",
    "ullage.web.cases",
    "ullage.web.records",
    "ullage.web.upkeep",
    "allauth",
    "allauth.account",
    "allauth.mfa",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "servestatic.middleware.ServeStaticMiddleware",
    "django.middleware.csp.ContentSecurityPolicyMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "ullage.web.shared.middleware.own_clock",
    "ullage.web.shared.middleware.in_a_sentence",
    "ullage.web.accounts.middleware.SittingMiddleware",
]

FORM_RENDERER = "ullage.web.shared.forms.Look"
ROOT_URLCONF = "ullage.web.urls"
ASGI_APPLICATION = "ullage.web.asgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.template.context_processors.csp",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "ullage.web.shared.context.page",
            ],
        },
    },
]

DATABASES: dict[str, dict[str, Any]]
_POSTGRES = os.environ.get("ULLAGE_DATABASE", "")
if _POSTGRES:
    # ULLAGE_DATABASE is a connection string for PostgreSQL, as libpq reads it.
    from psycopg.conninfo import conninfo_to_dict

    _FOUND = conninfo_to_dict(_POSTGRES)
    DATABASES = {
        "default": {
            "ENGINE": "django.db.backends.postgresql",
            "NAME": _FOUND.get("dbname", "ullage"),
            "USER": _FOUND.get("user", ""),
            "PASSWORD": _FOUND.get("password", ""),
            "HOST": _FOUND.get("host", ""),
            "PORT": _FOUND.get("port", ""),
            # Each request has its own thread under ASGI, so connections are kept in a pool.
            "CONN_MAX_AGE": 0,
            "OPTIONS": {"pool": {"min_size": 1, "max_size": 10, "timeout": 10}},
        }
    }
else:
    DATABASES = {
        "default": {
            "ENGINE": "django.db.backends.sqlite3",
            "NAME": STATE / "ullage.sqlite3",
            "OPTIONS": {
                "transaction_mode": "IMMEDIATE",
                "timeout": 20,
                # fullfsync: on a Mac a plain sync leaves data in the disk's own memory.
                "init_command": "PRAGMA journal_mode=WAL;PRAGMA synchronous=FULL;"
                "PRAGMA fullfsync=ON;",
            },
        }
    }

AUTH_USER_MODEL = "accounts.User"
AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "ullage.web.accounts.passwords.LengthValidator"},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "ullage.web.accounts.passwords.OwnWordsValidator"},
]
ACCOUNT_LOGIN_METHODS = {"username"}
ACCOUNT_SIGNUP_FIELDS = ["username*", "password1*", "password2*"]
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_ADAPTER = "ullage.web.accounts.adapter.ClosedAdapter"
ACCOUNT_FORMS = {
    "login": "ullage.web.accounts.forms.SignInForm",
    "change_password": "ullage.web.accounts.forms.NewPasswordForm",
}
# Wrong tries are counted in our own table, which all programs that serve the site share.
ACCOUNT_RATE_LIMITS = False
MFA_RATE_LIMITS = False
MFA_ADAPTER = "ullage.web.accounts.factors.FactorAdapter"
MFA_SUPPORTED_TYPES = ["webauthn", "totp", "recovery_codes"]
MFA_PASSKEY_LOGIN_ENABLED = True
MFA_WEBAUTHN_USER_VERIFICATION = "required"
MFA_RECOVERY_CODES_SHOW_ONCE = True
MFA_TOTP_TOLERANCE = 1
MFA_FORMS = {
    "authenticate": "ullage.web.accounts.forms.SecondStepForm",
    "reauthenticate": "ullage.web.accounts.forms.CodeAgainForm",
    "activate_totp": "ullage.web.accounts.forms.AppForm",
    "add_webauthn": "ullage.web.accounts.forms_passkey.AddPasskeyForm",
    "edit_webauthn": "ullage.web.accounts.forms_passkey.RenamePasskeyForm",
    "login_webauthn": "ullage.web.accounts.forms_passkey.PasskeySignInForm",
    "authenticate_webauthn": "ullage.web.accounts.forms_passkey.PasskeyForm",
    "reauthenticate_webauthn": "ullage.web.accounts.forms_passkey.PasskeyAgainForm",
}
# Hours that a session may last, and that it may lie untouched, before somebody signs in again.
SESSION_EXPIRE_AT_BROWSER_CLOSE = True
SESSION_COOKIE_AGE = 14 * 86_400
SESSION_LIMITS_H = {
    "usual": (
        float(os.environ.get("ULLAGE_SESSION_H", "24")),
        float(os.environ.get("ULLAGE_SESSION_IDLE_H", "12")),
    ),
    "remembered": (14 * 24.0, 4 * 24.0),
}
# Names of addresses that are reached while the screen is locked. Their views look at
# request.is_locked and give away no names and no history.
OPEN_WHILE_LOCKED = {
    "accounts:lock",
    "accounts:locked",
    "accounts:other",
    "account_logout",
    "api:queue",
    "cases:pad",
}
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "/"

LANGUAGE_CODE = "en-gb"
USE_TZ = True
TIME_ZONE = "UTC"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

STATIC_URL = "/static/"
STATIC_ROOT = STATE / "static"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "ullage.web.shared.storage.HashedFiles"},
}

TASKS = {
    "default": {
        "BACKEND": os.environ.get("ULLAGE_TASKS", "django_tasks_db.DatabaseBackend"),
        "QUEUES": ["default"],
    }
}

_SECURE = bool(os.environ.get("ULLAGE_TLS"))
SESSION_COOKIE_SECURE = _SECURE
CSRF_COOKIE_SECURE = _SECURE
SECURE_SSL_REDIRECT = _SECURE
SECURE_HSTS_SECONDS = 30 * 86_400 if _SECURE else 0
# We speak for this host alone: not for its subdomains (W005), not in browsers' lists (W021).
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]
SECURE_REFERRER_POLICY = "same-origin"
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_HTTPONLY = True
SECURE_CONTENT_TYPE_NOSNIFF = True
X_FRAME_OPTIONS = "DENY"
SECURE_CSP = {
    "default-src": [CSP.NONE],
    "script-src": [CSP.SELF],
    "style-src": [CSP.SELF],
    "connect-src": [CSP.SELF],
    "font-src": [CSP.SELF],
    "worker-src": [CSP.SELF],
    "manifest-src": [CSP.SELF],
    "img-src": [CSP.SELF, "data:"],
    "base-uri": [CSP.NONE],
    "form-action": [CSP.SELF],
    "frame-ancestors": [CSP.NONE],
}

# What broke is written beside the data, so that a fault at night can be understood by day.
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "handlers": {
        "file": {
            "class": "logging.handlers.RotatingFileHandler",
            "filename": STATE / "ullage.log",
            "maxBytes": 2_000_000,
            "backupCount": 3,
            "formatter": "line",
            "level": "WARNING",
            "delay": True,
        },
    },
    "loggers": {
        "django": {"handlers": ["file"], "level": "WARNING"},
        "django_tasks_db": {"handlers": ["file"], "level": "WARNING"},
        "ullage": {"handlers": ["file"], "level": "WARNING"},
    },
}
