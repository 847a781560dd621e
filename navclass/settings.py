"""All settings, read strictly from the environment. Unset means production: debug off, secret key
and hosts required.

NAVCLASS_HOTSPOT=yes is the one switch for a field laptop: plain http, any host name, a secret key
made once in the data folder.
"""

import os
import re
import secrets
from pathlib import Path

import dj_database_url
from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured

import navclass

BASE_DIR = Path(__file__).resolve().parent.parent


def env_yes_no(name, default):
    """A yes-or-no variable; anything else stops with the allowed values."""
    text = os.environ.get(name, "yes" if default else "no").strip().lower()
    if text not in ("yes", "no"):
        raise ImproperlyConfigured(f"{name}={text} is not understood. Use yes or no.")
    return text == "yes"


def env_list(name):
    """A list separated by commas; empty when unset."""
    return [part.strip() for part in os.environ.get(name, "").split(",") if part.strip()]


def env_days(name, default):
    """A number of whole days from 1 to 400, as long as a browser keeps a cookie."""
    text = os.environ.get(name, "").strip() or str(default)
    if not (text.isascii() and text.isdecimal() and 1 <= int(text) <= 400):
        raise ImproperlyConfigured(f"{name}={text} is not understood. Use days from 1 to 400.")
    return int(text)


def env_number(name, default, most):
    """A whole number from 0 to `most`."""
    text = os.environ.get(name, "").strip() or str(default)
    if not (text.isascii() and text.isdecimal() and int(text) <= most):
        raise ImproperlyConfigured(f"{name}={text} is not understood. Use 0 to {most}.")
    return int(text)


def env_port(name, default):
    """A port, 1 to 65535."""
    text = os.environ.get(name, "").strip() or str(default)
    if not (text.isascii() and text.isdecimal() and 1 <= int(text) <= 65_535):
        raise ImproperlyConfigured(f"{name}={text} is not understood. Use a port, such as 587.")
    return int(text)


def kept_secret(folder):
    """The secret key of this laptop, made at first use and readable by its owner alone."""
    path = folder / "secret_key"
    if not path.exists():
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT, 0o600), "w") as file:
            file.write(secrets.token_urlsafe(50))
    return path.read_text()


VERSION = navclass.VERSION
HOTSPOT = env_yes_no("NAVCLASS_HOTSPOT", False)
DEBUG = env_yes_no("NAVCLASS_DEBUG", False)
DATA_DIR = Path(os.environ.get("NAVCLASS_DATA", BASE_DIR / ".data"))
SECRET_KEY = os.environ.get("NAVCLASS_SECRET_KEY", "") or (kept_secret(DATA_DIR) if HOTSPOT else "")
ALLOWED_HOSTS = env_list("NAVCLASS_HOSTS") or (["*"] if HOTSPOT else [])
CSRF_TRUSTED_ORIGINS = [f"https://{host}" for host in ALLOWED_HOSTS if host != "*"]

# Backups: a folder, perhaps on a stick; what closes them; for how many weeks one a week is kept
# after the seven days of which all are.
BACKUPS = Path(folder) if (folder := os.environ.get("NAVCLASS_BACKUPS", "")) else None
BACKUP_PASSPHRASE_FILE = os.environ.get("NAVCLASS_BACKUP_PASSPHRASE_FILE", "")
BACKUP_WEEKS = env_number("NAVCLASS_BACKUP_WEEKS", 8, 520)
# Whom a parent asks about what is kept: a name and an address, as text.
CONTACT = os.environ.get("NAVCLASS_CONTACT", "").strip()

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "csp",
    "exercises.apps.ExercisesConfig",
]
MIDDLEWARE = [
    "exercises.views.own_origin.for_our_pages_alone",
    "exercises.views.health.answers_for_itself",
    "exercises.views.bodies.only_utf_8",
    "django.middleware.security.SecurityMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "exercises.views.keepable.only_the_shell_is_kept",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "exercises.views.events.NotesEvents",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "exercises.views.account_sessions.sessions_have_limits",
    "exercises.views.once.forms_act_once",
    "exercises.views.shut_doors.WhoMustWait",
    "exercises.views.meanwhile.ChangedMeanwhile",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "exercises.views.reader_lengths.lengths_of_reader",
    "exercises.views.slow_pages.ReckonedBeside",
]
ROOT_URLCONF = "navclass.urls"
WSGI_APPLICATION = "navclass.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "builtins": ["exercises.templatetags.once"],
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "django.template.context_processors.i18n",
            ],
        },
    }
]

DATABASES = {
    "default": dj_database_url.parse(
        os.environ.get("DATABASE_URL", f"sqlite:///{(DATA_DIR / 'navclass.sqlite3').as_posix()}"),
        conn_max_age=60,
        conn_health_checks=True,
    )
}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # Concurrent writers: without IMMEDIATE, transactions that read and then write answer “database
    # is locked”. FULL, because a
    # phone deletes what the server says it has, so a power cut must not undo that.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;",
    }
    DATABASES["default"]["TEST"] = {
        "NAME": str(DATA_DIR / "test.sqlite3")
    }  # in memory, parallel posts to live_server fail
    DATA_DIR.mkdir(parents=True, exist_ok=True, mode=0o700)
else:
    # What is asked often is planned once in a connection: to plan the question who sends a reading
    # takes PostgreSQL ten times as long as to answer it.
    DATABASES["default"].setdefault("OPTIONS", {}).update(
        server_side_binding=True, prepare_threshold=5
    )
# In the database, so that all processes, on whichever machine, remember the same.
CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.db.DatabaseCache",
        "LOCATION": "exercises_cache",
    }
}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("es", "Español")]
LANGUAGE_COOKIE_NAME = "navclass_language"
LANGUAGE_COOKIE_AGE = 31_536_000
LANGUAGE_COOKIE_SAMESITE = "Lax"
FORMAT_MODULE_PATH = "exercises.locale"
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"
STATIC_URL = "static/"
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = DEBUG
LOGIN_URL = "sign_in"
LOGIN_REDIRECT_URL = "sites"
LOGOUT_REDIRECT_URL = "home"
# Length before signs, as NIST SP 800-63B advises. What breaches showed to be common is looked up in
# lists that ship with Django (some 20,000 entries) and zxcvbn, which also knows what is put
# together of them, since a laptop in the field has no network.
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
    {"NAME": "exercises.usecases.passwords.NotTheDemonstrations"},
    {"NAME": "exercises.usecases.passwords.NotEasyToGuess"},
    {"NAME": "exercises.usecases.passwords.NotOurWords"},
]
PASSWORD_HASHERS = ["exercises.serving.hashing.OneAtATime"]
# The demonstration's password stands in the program: it opens nothing but under manage.py demo.
DEMONSTRATION = env_yes_no("NAVCLASS_DEMONSTRATION", False)
# an import's table of 300,000 characters, as a browser encodes it
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 7500  # a grid of 120 people and 60 tasks
PASSWORD_RESET_TIMEOUT = 86_400  # seconds: a link for a new password holds for a day

# Mail is for links to a new password, and only where it is set up: a field laptop has none.
EMAIL_HOST = os.environ.get("NAVCLASS_EMAIL_HOST", "")
MAIL_IS_SET_UP = bool(EMAIL_HOST)
EMAIL_BACKEND = f"django.core.mail.backends.{'smtp' if MAIL_IS_SET_UP else 'dummy'}.EmailBackend"
EMAIL_PORT = env_port("NAVCLASS_EMAIL_PORT", 587)
EMAIL_HOST_USER = os.environ.get("NAVCLASS_EMAIL_USER", "")
EMAIL_HOST_PASSWORD = os.environ.get("NAVCLASS_EMAIL_PASSWORD", "")
EMAIL_USE_TLS = env_yes_no("NAVCLASS_EMAIL_TLS", True)
EMAIL_TIMEOUT = 20  # seconds
DEFAULT_FROM_EMAIL = os.environ.get("NAVCLASS_EMAIL_FROM", "")
if MAIL_IS_SET_UP and not (DEFAULT_FROM_EMAIL and env_list("NAVCLASS_HOSTS")):
    # A link in a mail goes to a name that is set here: whoever asks for one could claim another.
    raise ImproperlyConfigured(
        "NAVCLASS_EMAIL_HOST needs NAVCLASS_EMAIL_FROM, who the mail is from, and NAVCLASS_HOSTS, "
        "whose first name its links lead to."
    )

SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_HTTPONLY = True
SESSION_ENGINE = "exercises.models.account_session"
# A cookie left on a borrowed machine ends by itself: after some days without use, and after some
# weeks however much it was used. An instructor who goes out weekly need not sign in on the hill.
SESSION_IDLE_DAYS = env_days("NAVCLASS_SESSION_IDLE_DAYS", 14)
SESSION_DAYS = env_days("NAVCLASS_SESSION_DAYS", 90)
# A helper's phone, which has no account: the link may have been sent weeks before the class.
HELPER_IDLE_DAYS = env_days("NAVCLASS_HELPER_IDLE_DAYS", 30)
HELPER_DAYS = env_days("NAVCLASS_HELPER_DAYS", 60)
SESSION_COOKIE_AGE = SESSION_IDLE_DAYS * 86_400  # set anew whenever its use is noted
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = LANGUAGE_COOKIE_SECURE = not HOTSPOT
# Cookies that speak for somebody (views/cookie_names.py). Not the one against forged forms: a
# phone's page that is older than this server reads it by its plain name.
HOST_PREFIX = "" if HOTSPOT else "__Host-"
SESSION_COOKIE_NAME = f"{HOST_PREFIX}sessionid"
SECURE_SSL_REDIRECT = not HOTSPOT and not DEBUG
BEHIND_PROXY = env_yes_no("NAVCLASS_BEHIND_PROXY", False)
# whose word on who asks is believed; anybody else's is taken out of the request (serving/answering)
PROXY = os.environ.get("NAVCLASS_PROXY", "127.0.0.1") if BEHIND_PROXY else None
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if BEHIND_PROXY else None
SECURE_HSTS_SECONDS = 0 if HOTSPOT or DEBUG else 31_536_000
# for a year browsers would refuse plain http of every name below this one, whoever serves it
SECURE_HSTS_INCLUDE_SUBDOMAINS = env_yes_no("NAVCLASS_HSTS_SUBDOMAINS", False)
# W005 asks for subdomains: their owner decides, and our cookies go to this name alone.
# W021 asks for browsers' own list of names, into which the owner of a whole domain enters it.
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]
SECURE_CROSS_ORIGIN_OPENER_POLICY = (
    None if HOTSPOT else "same-origin"
)  # browsers ignore it on plain http, with a warning
TILES_URL, TILES_CREDIT = (
    os.environ.get("NAVCLASS_TILES", ""),
    os.environ.get("NAVCLASS_TILES_CREDIT", ""),
)
TILES_ORIGIN = re.match(r"https?://[^/{}]+(?=/)", TILES_URL)
if TILES_URL and not (TILES_ORIGIN and all(part in TILES_URL for part in ("{z}", "{x}", "{y}"))):
    raise ImproperlyConfigured(
        "NAVCLASS_TILES must be an address with {z}, {x} and {y} in its path, such as "
        "https://tiles.example.org/{z}/{x}/{y}.png"
    )
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        **({"img-src": [SELF, TILES_ORIGIN[0]]} if TILES_ORIGIN else {}),
        "base-uri": [NONE],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
        "object-src": [NONE],
    }
}
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    # 503 is what who signs in is told while another password is hashed: no fault of the server's
    "filters": {
        "faults": {
            "()": "django.utils.log.CallbackFilter",
            "callback": lambda record: getattr(record, "status_code", 500) != 503,
        }
    },
    # one line of JSON an event, without names, codes and paths: serving/event_log.py
    "formatters": {"line": {"()": "exercises.serving.event_log.AsLine"}},
    "handlers": {
        "console": {"class": "logging.StreamHandler", "filters": ["faults"], "formatter": "line"}
    },
    "root": {"handlers": ["console"], "level": "WARNING"},
    "loggers": {
        "navclass.events": {"level": "INFO"},
        "waitress.queue": {"level": "ERROR"},
        "django.request": {"level": "ERROR"},
    },
}
