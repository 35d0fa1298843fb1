"""Django's settings. What an operation may change is in `environ`; the rest is fixed here."""

from __future__ import annotations

import os
import secrets
from contextlib import suppress
from pathlib import Path
from typing import Any

from gyrewright.desk.environ import mail_of, read_settings
from gyrewright.desk.phones import places

_given = read_settings()
_here = Path(__file__).parent

DATA_DIR: Path = _given["DATA"]
IS_DEMO: bool = _given["DEMO"]
PORT: int = _given["PORT"]
HAS_PHONES: bool = _given["PHONES"]
PHONES_NAME: str = _given["PHONES_NAME"]
PHONES_PORT: int = _given["PHONES_PORT"]
PHONES_ADDRESS: str = _given["PHONES_ADDRESS"]
PLAIN_PORT: int = _given["PLAIN_PORT"]
PLAIN_WALKS: bool = _given["PLAIN_WALKS"]
LISTENER: str = os.environ.get(places.LISTENER, places.HERE)
"""Which of its listeners this process is: each has hosts, cookies and pages of its own."""
LOGIN_TRIES: int = _given["LOGIN_TRIES"]
LOGIN_WAIT_MIN: int = _given["LOGIN_WAIT_MIN"]
MAIL = mail_of(_given)
PHOTO_BYTES: int = _given["PHOTO_MB"] * 1_000_000
BODY_BYTES = max(PHOTO_BYTES, 2_500_000) + 500_000
"""The largest body of a request: one photo with the form around it, and never less than the largest form."""


def secret_key(data_dir: Path) -> str:
    """Return the data folder's own key, made at its first start. It signs forms and sessions and is in no copy."""
    path = data_dir / "secret-key"
    if not path.exists():
        data_dir.mkdir(parents=True, exist_ok=True, mode=0o700)
        # Two starts at once must agree on one key: only one of them can create the name.
        draft = path.with_name(f"secret-key.{secrets.token_hex(4)}")
        draft.touch(mode=0o600)
        draft.write_text(secrets.token_urlsafe(64), encoding="ascii")
        with suppress(FileExistsError):
            path.hardlink_to(draft)
        draft.unlink()
    return path.read_text(encoding="ascii")


SECRET_KEY = secret_key(DATA_DIR)
DEBUG = False
ALLOWED_HOSTS = ["localhost", "127.0.0.1"] if LISTENER == places.HERE else places.places_of(PHONES_NAME).hosts
ROOT_URLCONF = "gyrewright.desk.urls"
WSGI_APPLICATION = "gyrewright.desk.wsgi.application"

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "gyrewright.desk.book",
    "gyrewright.desk.accounts",
    "gyrewright.desk.phones",
    "gyrewright.desk.pages",
]
AUTH_USER_MODEL = "accounts.Account"
AUTHENTICATION_BACKENDS = ["gyrewright.desk.accounts.door.NameAndPassword"]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator",
        "OPTIONS": {"user_attributes": ("name",)},
    },
]
LOGIN_URL = "door"
LOGIN_REDIRECT_URL = "records"
LOGOUT_REDIRECT_URL = "door"

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "gyrewright.desk.pages.middleware.from_nearby",
    "gyrewright.desk.pages.middleware.content_policy",
    "gyrewright.desk.pages.middleware.size_limit",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "gyrewright.desk.pages.middleware.default_deny",
    "gyrewright.desk.pages.middleware.letters_seen",
    "gyrewright.desk.pages.middleware.freezes_after_events",
    "gyrewright.desk.pages.middleware.refusals_in_words",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]

TEMPLATES: list[dict[str, Any]] = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [_here / "templates"],
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "gyrewright.desk.pages.context.every_page",
            ],
            "builtins": ["gyrewright.desk.pages.templatetags.desk"],
            "loaders": [("gyrewright.desk.pages.loader.Loader", ["gyrewright.desk.pages.loader.SpelledLoader"])],
        },
    }
]

DATABASES: dict[str, dict[str, Any]] = {
    "default": {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": DATA_DIR / "book.sqlite3",
        "CONN_MAX_AGE": None,
        "OPTIONS": {
            # FULL: a power cut loses no acknowledged record. recursive_triggers: REPLACE cannot get round the guards.
            "transaction_mode": "IMMEDIATE",
            "timeout": 20,
            "init_command": "PRAGMA journal_mode=wal;PRAGMA synchronous=FULL;PRAGMA recursive_triggers=ON",
        },
    }
}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

SESSION_COOKIE_AGE = _given["SESSION_H"] * 3600
_COOKIE = "gyrewright_demo" if IS_DEMO else "gyrewright"
# Browsers take a cookie of this prefix from https alone, for this host alone (RFC 6265bis, 4.1.3.2).
SESSION_COOKIE_NAME = f"__Host-{_COOKIE}" if LISTENER == places.PHONES else _COOKIE
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = LISTENER == places.PHONES
SESSION_COOKIE_SAMESITE = "Strict"
CSRF_COOKIE_SAMESITE = "Strict"
CSRF_COOKIE_NAME = f"{SESSION_COOKIE_NAME}_form"
CSRF_COOKIE_AGE = None
CSRF_FAILURE_VIEW = "gyrewright.desk.pages.views.form_too_old"
SECURE_REFERRER_POLICY = "same-origin"
# Browsers hear it from trusted places alone and complain of it elsewhere.
SECURE_CROSS_ORIGIN_OPENER_POLICY = None if LISTENER == places.PLAIN else "same-origin"
X_FRAME_OPTIONS = "DENY"
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
FILE_UPLOAD_MAX_MEMORY_SIZE = 2_500_000

USE_TZ = True
TIME_ZONE = "UTC"
USE_I18N = False
LANGUAGE_CODE = "en-us"

# A phone that has met the desk in https once does not speak http to its name again, nor past a warning: see
# docs/decisions. Addresses are left out by the standard (RFC 6797, 8.1.1), so the authority's file can be fetched anew.
SECURE_HSTS_SECONDS = 90 * 24 * 3600 if LISTENER == places.PHONES else 0

# What the deployment check asks of one listener and not of the other.
SILENCED_SYSTEM_CHECKS = (
    [
        "security.W005",  # Strict-Transport-Security speaks for no names under the desk's own: there are none
        "security.W008",  # no redirect to https: this listener speaks nothing else
        "security.W021",  # no browser has the desk on its list: its name is one of a private network
    ]
    if LISTENER == places.PHONES
    else [
        "security.W004",  # no Strict-Transport-Security: there is no https on this listener to hold a browser to
        "security.W008",  # no redirect to https: there is none on this listener
        "security.W012",  # session cookie not marked Secure: browsers would not send it to http://127.0.0.1
        "security.W016",  # form cookie not marked Secure: the same
    ]
)

LOGGING: dict[str, Any] = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"stderr": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["stderr"], "level": "WARNING"},
}
