"""Settings, all from the environment; the defaults are a safe single machine with SQLite."""

import os
from contextlib import suppress
from pathlib import Path
from typing import Any

import dj_database_url
import django_stubs_ext
from csp.constants import NONE, SELF

from config import env
from orders.personal_data.periods import DAYS, RETAINED

# Django's generic classes take type parameters at run time too (forms.BaseFormSet[...]).
django_stubs_ext.monkeypatch()

# Whatever the service writes is its user's alone, whoever starts it with whatever umask.
os.umask(0o077)
FILE_UPLOAD_PERMISSIONS = 0o600  # also of collected static files, which the service itself serves
FILE_UPLOAD_DIRECTORY_PERMISSIONS = 0o700

BASE_DIR = Path(__file__).resolve().parent.parent
VAR_DIR = Path(env.text("COLDSET_VAR") or BASE_DIR / "var")

# Without a key headless commands still work; Django refuses to serve.
SECRET_KEY = env.secret_of(env.SIGNING_KEY, VAR_DIR)
# Keys it had before: what they signed and encrypted can still be read.
SECRET_KEY_FALLBACKS = env.words("COLDSET_OLD_SECRET_KEYS")
DEBUG = env.flag("COLDSET_DEBUG", default=False)
HTTPS = env.flag("COLDSET_HTTPS", default=True)
ALLOWED_HOSTS = env.hosts("COLDSET_HOSTS", "localhost,127.0.0.1,[::1]")
# Links in mail are built from this, never from a request.
SITE_URL = env.address("COLDSET_SITE_URL", ("https", "http"), "http://localhost:8000").rstrip("/")
CSRF_TRUSTED_ORIGINS = [SITE_URL]

INSTALLED_APPS = [
    "config.apps.ConfigConfig",
    "orders.apps.OrdersConfig",
    "catalog.apps.CatalogConfig",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "djmoney",
    "django_htmx",
    "csp",
]

MIDDLEWARE = [
    "config.request_log.RequestLogMiddleware",
    "config.head.HeadMiddleware",
    "config.health.HealthMiddleware",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "config.compression.CompressionMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "config.middleware.SessionSeenMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "config.middleware.KitchenTimeMiddleware",
    "config.middleware.AccessMiddleware",
    "config.middleware.DomainErrorMiddleware",
]

ROOT_URLCONF = "config.urls"
WSGI_APPLICATION = "config.wsgi.application"
ASGI_APPLICATION = "config.asgi.application"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

FORM_RENDERER = "catalog.web.form_renderer.FormRenderer"
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
                "config.context.kitchen",
            ],
        },
    }
]


def _database() -> dict[str, Any]:
    """Return PostgreSQL from COLDSET_DATABASE_URL, else SQLite set up for many writers."""
    url = env.address("COLDSET_DATABASE_URL", ("postgres", "postgresql"))
    if url:
        database: dict[str, Any] = dict(dj_database_url.parse(url, conn_max_age=60, conn_health_checks=True))
        # Compiling a query takes PostgreSQL a half second, and our longest ones take a tenth of that.
        # A server that does not answer is away: nobody waits for it as long as TCP would.
        database["OPTIONS"] = {"options": "-c jit=off", "connect_timeout": 5, **database.get("OPTIONS", {})}
        return database
    file = Path(env.text("COLDSET_DB") or VAR_DIR / "coldset.sqlite3")
    # SQLite makes the file, not its folder. Where nothing may be written the headless commands still work.
    with suppress(OSError):
        file.parent.mkdir(parents=True, exist_ok=True)
    return {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": file,
        "OPTIONS": {
            # A transaction takes the write lock at its start: a later upgrade would ignore the timeout.
            "transaction_mode": "IMMEDIATE",
            "timeout": 20,
            "init_command": (
                "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON; PRAGMA recursive_triggers=ON"
            ),
        },
    }


DATABASES = {"default": _database()}

PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "config.accounts.password_rules.CommonParts"},
    {"NAME": "config.accounts.password_rules.ContextWords"},
]
PASSWORD_RESET_TIMEOUT = 60 * 60
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "day"
LOGOUT_REDIRECT_URL = "sign-in"

# Sources are in US English; a kitchen's country decides (`catalog/web/display/settings.py`).
LANGUAGE_CODE = "en-us"
LANGUAGES = [("en-us", "English (United States)"), ("en-gb", "English (United Kingdom)")]
LOCALE_PATHS = [BASE_DIR / "config" / "locale"]
TIME_ZONE = "UTC"
USE_I18N = True
USE_TZ = True

STATIC_URL = "/static/"
STATIC_ROOT: Path | None = VAR_DIR / "static"
STATICFILES_DIRS = [BASE_DIR / "config" / "static"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "config.static_files.CollectedFiles"},
}
WHITENOISE_KEEP_ONLY_HASHED_FILES = True

# Sessions of people who sign in have limits of their own in this store.
SESSION_ENGINE = "config.accounts.session_store"
SESSION_COOKIE_AGE = 60 * 60 * 24 * 14
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SECURE = HTTPS
SESSION_COOKIE_NAME = "__Host-session" if HTTPS else "session"
CSRF_COOKIE_SECURE = HTTPS
CSRF_COOKIE_HTTPONLY = True
CSRF_COOKIE_NAME = "__Host-csrf" if HTTPS else "csrf"
MESSAGE_STORAGE = "config.page_notes.PageNotes"
CSRF_FAILURE_VIEW = "config.site_views.stale_form"
SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = HTTPS
# A browser's built-in list is left only after months: whoever wants to be on it says so.
SECURE_HSTS_PRELOAD = env.flag("COLDSET_HSTS_PRELOAD", default=False)
#: W021 recommends the list to everybody. The others name Django's settings; `config/site_check.py` asks the same and
#: names the variables.
_ASKED_BY_US = ("004", "008", "009", "011", "012", "016", "018", "020", "025")
SILENCED_SYSTEM_CHECKS = [f"security.W{number}" for number in ("021", *_ASKED_BY_US)]
SECURE_REFERRER_POLICY = "same-origin"
if env.flag("COLDSET_BEHIND_PROXY", default=False):
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "font-src": [SELF],
        "img-src": [SELF],
        "connect-src": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
        "base-uri": [NONE],
        "object-src": [NONE],
    }
}

# Mail goes to files until a server is named.
EMAIL_HOST = env.text("COLDSET_SMTP_HOST")
EMAIL_PORT = env.number("COLDSET_SMTP_PORT", 465)
EMAIL_USE_SSL = EMAIL_PORT == 465
EMAIL_USE_TLS = EMAIL_PORT == 587
EMAIL_HOST_USER = env.text("COLDSET_SMTP_USER")
EMAIL_HOST_PASSWORD = env.secret_of(env.SMTP_PASSWORD, VAR_DIR)
EMAIL_TIMEOUT = 30
EMAIL_FILE_PATH = VAR_DIR / "mail"
EMAIL_BACKEND = (
    "django.core.mail.backends.smtp.EmailBackend" if EMAIL_HOST else "django.core.mail.backends.filebased.EmailBackend"
)
DEFAULT_FROM_EMAIL = env.text("COLDSET_MAIL_FROM", "kitchen@localhost")

# Handlers of the outbox: kind -> handler(*, row, at).
OUTBOX_HANDLERS = {
    "mail": "orders.mail.services.mail_send",
    "quote_pdf": "orders.quotes.files.quote_pdf_make",
    "approval_pdf": "orders.approvals.files.approval_pdf_make",
    "invoice_pdf": "orders.invoices.files.invoice_pdf_make",
    "invoice_mail": "orders.mail.services.mail_send",
    "paper_pdf": "orders.invoices.paper_files.paper_pdf_make",
    "paper_mail": "orders.mail.services.mail_send",
    "export_files": "orders.register.services.export_files_write",
    "procedure_file": "orders.production.file_services.procedure_file_write",
    "register_file": "orders.register.services.register_file_write",
    "papers_file": "orders.register.paper_services.papers_file_write",
    "subject_file": "orders.personal_data.file_services.subject_file_write",
    "account_mail": "orders.mail.services.mail_send",
    "reminder": "orders.mail.services.mail_send",
    "payment_mail": "orders.mail.services.mail_send",
    "window_check": "orders.planning.services.window_check_make",
    "slot_check": "orders.approvals.looking.slot_check_make",
    "price_list": "catalog.price_lists.services.price_list_read",
    "spreadsheet": "catalog.spreadsheets.services.spreadsheet_read",
}

# Writers of mails: kind of outbox row -> writer(row, kitchen, at).
MAIL_WRITERS = {
    "mail": "orders.approvals.mails.quote_mail",
    "invoice_mail": "orders.invoices.mails.invoice_mail",
    "paper_mail": "orders.invoices.paper_mails.paper_mail",
    "account_mail": "config.accounts.mails.account_mail",
    "reminder": "orders.approvals.reminder_mails.reminder_mail",
    "payment_mail": "orders.invoices.mails.payment_mail",
}

# What is shown in the catalog after a change of prices: a function that gives HTML.
PRICE_CHANGE_NOTE = "orders.quotes.repriced.views.below_floor_note"

# Says which orders to come a recipe or product makes unsafe when it is saved: a function of its kind and code.
UNSAFE_WORDS = "orders.cooling_log.unsafe_presenters.unsafe_words"

# Checks the kitchen's words about traces when its profile is saved: a function that takes the kitchen and may refuse.
KITCHEN_WORDS_CHECK = "catalog.products.kitchen_claims.check_words"

# The hours of events when the kitchen's time zone is corrected: what lets them stay, and how many are ahead.
HOURS_STAY = "orders.orders.event_hours.hours_stay"
EVENTS_AHEAD = "orders.orders.event_hours.events_ahead"
# What another cup, and prices with tax in them or without, would change of recipes and list prices.
PROFILE_EFFECTS = "catalog.products.profile_effects.profile_effects"
# The names of the orders that leave from one day to another.
PROMISED_BETWEEN = "orders.orders.event_hours.promised_between"

# What a quote breaks of the cooling rule only together with promised orders, and where the owner's reason is written.
HOLDING_REFUSED = "orders.quotes.send.holding_content.holding_refused"
STEPS_ANSWERED = "orders.quotes.cooling.never_hot.steps_answered"
SHARED_BATCHES = "orders.cooling_log.quoted.quoted_together"
SHARED_REASON = "orders.cooling_log.quoted.quoted_reason"

# The orders for which something is promised outside the hours, when the kitchen's calendar changes.
PROMISED_OUTSIDE = "orders.orders.promised.promised_outside"

# How records of a kind are read from a spreadsheet, written and exported.
SPREADSHEET_KINDS = {
    "recipes": "catalog.spreadsheets.recipes.KIND",
    "ingredients": "catalog.spreadsheets.ingredients.KIND",
    "products": "catalog.spreadsheets.products.KIND",
    "customers": "orders.inquiries.customer_spreadsheet.KIND",
}

# Functions that write the sentence of an app's refusal.
REFUSAL_SENTENCES = {
    "catalog": "catalog.records.presenters.reason_sentence",
    "orders": "orders.records.presenters.reason_sentence",
}

# Work of one lane waits for nothing else; ``seconds`` is the most that one piece may take before it is stopped.
OUTBOX_LANES: dict[str, dict[str, Any]] = {
    "mail": {
        "kinds": ["mail", "invoice_mail", "account_mail", "reminder", "payment_mail", "paper_mail"],
        "seconds": 120,
    },
    "documents": {"kinds": ["quote_pdf", "approval_pdf", "invoice_pdf", "paper_pdf", "procedure_file"], "seconds": 120},
    "files": {"kinds": ["price_list", "spreadsheet"], "seconds": 300},
    "plans": {"kinds": ["window_check", "slot_check"], "seconds": 60},
    "exports": {"kinds": ["export_files", "register_file", "papers_file", "subject_file"], "seconds": 300},
}

# Services called every so many seconds: name(*, at) -> seconds.
PERIODIC_WORK = {
    "catalog.upkeep.services.heartbeat": 60,
    "orders.personal_data.retention.retention_round": 3600,
    "catalog.outbox.services.outbox_tend": 60,
    "orders.quotes.send.services.quotes_expire": 600,
    "orders.reminders.services.reminders_round": 300,
    "orders.cooling_log.breach_services.breaches_note": 10,
    "orders.cooling_log.void_services.reasons_note": 60,
    "catalog.throttle.services.tries_clear": 3600,
    "config.accounts.sessions.sessions_clear": 3600,
    "config.accounts.emails.new_emails_clear": 3600,
}
# Of these the loop does itself what is a few queries: that it is alive, and taking back what was interrupted. All else
# is done by a process beside it.
LOOP_WORK = ("catalog.upkeep.services.heartbeat", "catalog.outbox.services.outbox_tend")

# Without a broker `manage.py outbox --loop` does the work; with one, Celery's workers and beat.
CELERY_BROKER_URL = env.address("COLDSET_BROKER_URL", ("redis", "rediss", "redis+socket"))
# A request never waits long for a broker that is down: the row is sent again later.
CELERY_BROKER_CONNECTION_TIMEOUT = 2
CELERY_TASK_PUBLISH_RETRY_POLICY = {"max_retries": 1, "interval_start": 0, "interval_step": 0.2, "interval_max": 0.2}
CELERY_BROKER_TRANSPORT_OPTIONS = {"socket_connect_timeout": 2, "socket_timeout": 5}
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_TASK_DEFAULT_QUEUE = "periodic"
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_ACCEPT_CONTENT = ["json"]
CELERY_TIMEZONE = "UTC"
CELERY_BEAT_SCHEDULE_FILENAME = str(VAR_DIR / "beat-schedule")
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_BEAT_SCHEDULE = {
    path: {"task": "catalog.tasks.periodic", "args": [path], "schedule": seconds, "options": {"expires": seconds}}
    for path, seconds in PERIODIC_WORK.items()
}

# What counts as not well: due work taken up by nobody for longer, less room on the disk, an older backup (0: none is
# expected, as in the demo).
OUTBOX_MINUTES = env.number("COLDSET_OUTBOX_MINUTES", 15)
FREE_MB = env.number("COLDSET_FREE_MB", 500)
BACKUP_DAYS = env.number("COLDSET_BACKUP_DAYS", 2 if HTTPS else 0)

# How many days rows are kept, by kind, and whether the clock lets go of what is older (else `manage.py retention
# --apply` does).
RETENTION_DAYS = {**DAYS, **RETAINED, **env.numbers("COLDSET_RETENTION", tuple(DAYS))}
RETENTION_APPLY = env.flag("COLDSET_RETENTION_APPLY", default=False)

DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024
# A telephone's photograph; price lists have a smaller limit of their own.
FILE_UPLOAD_MAX_MEMORY_SIZE = 12 * 1024 * 1024
FILE_UPLOAD_HANDLERS = ["config.uploads.BoundedUpload"]
DATA_UPLOAD_MAX_NUMBER_FIELDS = 4000

# JSON for whatever collects the lines of a real service, plain lines for the demo's and a developer's terminal.
LOG_FORMAT = env.choice("COLDSET_LOG_FORMAT", ("json", "lines"), default="json" if HTTPS else "lines")
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "filters": {"one_line_each": {"()": "config.logs.OneLineEach"}},
    "formatters": {
        "json": {"()": "config.logs.JsonFormatter"},
        "lines": {"()": "config.logs.LineFormatter", "debug": DEBUG},
    },
    "handlers": {
        "console": {"class": "logging.StreamHandler", "formatter": LOG_FORMAT, "filters": ["one_line_each"]},
    },
    "root": {
        "handlers": ["console"],
        "level": env.choice(
            "COLDSET_LOG_LEVEL", ("debug", "info", "warning", "error", "critical"), default="info"
        ).upper(),
    },
    "loggers": {
        # All lines go through the one handler, those of the servers too.
        "django": {"handlers": [], "level": "INFO", "propagate": True},
        "django.server": {"handlers": [], "level": "WARNING", "propagate": True},
        "gunicorn.access": {"handlers": [], "level": "WARNING", "propagate": True},
        "gunicorn.error": {"handlers": [], "level": "WARNING", "propagate": True},
        # Each task is one line: its end.
        "celery.worker.strategy": {"level": "WARNING"},
        # They log every step of every page.
        "fontTools": {"level": "WARNING"},
        "weasyprint": {"level": "WARNING"},
        "weasyprint.progress": {"level": "WARNING"},
    },
}
