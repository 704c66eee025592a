"""One file of settings; the environment changes what differs between bench, club and demo (DEVELOPERS.md lists it)."""

import os
from pathlib import Path

from clubshop.environment import database, listed, refuse_unsafe, secret_key, switched_on

BASE_DIR = Path(__file__).resolve().parent.parent
DEMO = switched_on("CLUBSHOP_DEMO")
DATA_DIR = Path(os.environ.get("CLUBSHOP_DATA") or BASE_DIR / ".data") / ("demo" if DEMO else "")

DEBUG = switched_on("CLUBSHOP_DEBUG")
HTTPS = switched_on("CLUBSHOP_HTTPS")
ALLOWED_HOSTS = listed("CLUBSHOP_HOSTS", "localhost,127.0.0.1,[::1]")
refuse_unsafe(debug=DEBUG, https=HTTPS, hosts=ALLOWED_HOSTS)
SECRET_KEY = secret_key(DATA_DIR)

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",  # django.contrib.auth will not load without it; nothing of ours points at it
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django_htmx",
    "restorations.web",
    "restorations.members",
    "restorations.engines",
    "restorations.photos",
    "restorations.tasks",
    "restorations.faults",
    "restorations.traffic",
    "restorations.home",
]

MIDDLEWARE = [
    "restorations.web.middleware.security_headers",  # outermost, so that a refusal carries them too
    "django.middleware.security.SecurityMiddleware",
    "restorations.web.middleware.refuse_large_bodies",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "restorations.web.middleware.refresh_signed_out_fragments",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "restorations.members.middleware.club_time",
    "restorations.faults.middleware.ClosedSheets",
]

ROOT_URLCONF = "clubshop.urls"
WSGI_APPLICATION = "clubshop.wsgi.application"
ASGI_APPLICATION = "clubshop.asgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    },
]

DATABASES = {
    "default": {
        **database(DATA_DIR, demo=DEMO),
        "ATOMIC_REQUESTS": False,  # a page must not wait for another member's save
        "CONN_MAX_AGE": 60,
    },
}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "members.Member"
LOGIN_URL = "members:sign_in"
LOGIN_REDIRECT_URL = "home:front"
LOGOUT_REDIRECT_URL = "members:sign_in"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 8}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator",
        "OPTIONS": {"user_attributes": ["sign_in_name", "full_name", "email"]},
    },
    {"NAME": "restorations.members.passwords.NotTheClubsName"},
]

LANGUAGE_CODE = "en-gb"
USE_I18N = False
USE_TZ = True
TIME_ZONE = "UTC"  # rows are in UTC; pages are in the club's zone

STATIC_URL = "/static/"
STATIC_ROOT = DATA_DIR / "static"
STATICFILES_DIRS = [BASE_DIR / "static"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage", "OPTIONS": {"location": DATA_DIR / "photos"}},
    "staticfiles": {
        "BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"
        if not DEBUG
        else "django.contrib.staticfiles.storage.StaticFilesStorage"
    },
}

LARGEST_BODY = 25 * 1024 * 1024
DATA_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 500

SESSION_COOKIE_AGE = 14 * 86400
SESSION_COOKIE_HTTPONLY = True
CSRF_COOKIE_HTTPONLY = True
CSRF_FAILURE_VIEW = "restorations.web.errors.forgery_refused"
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
MESSAGE_STORAGE = "django.contrib.messages.storage.session.SessionStorage"
if HTTPS:
    SECURE_SSL_REDIRECT = True
    SECURE_HSTS_SECONDS = 31536000
    SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = True
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = "__Host-sessionid", "__Host-csrftoken"
    SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = True
    CSRF_TRUSTED_ORIGINS = [f"https://{host}" for host in ALLOWED_HOSTS]

EMAIL_HOST = os.environ.get("CLUBSHOP_MAIL_HOST", "")  # empty: messages wait, and send_messages says what is missing
EMAIL_PORT = int(os.environ.get("CLUBSHOP_MAIL_PORT", "587"))
EMAIL_HOST_USER = os.environ.get("CLUBSHOP_MAIL_USER", "")
EMAIL_HOST_PASSWORD = os.environ.get("CLUBSHOP_MAIL_PASSWORD", "")
EMAIL_USE_TLS = EMAIL_PORT == 587
EMAIL_USE_SSL = EMAIL_PORT == 465
EMAIL_TIMEOUT = 20
DEFAULT_FROM_EMAIL = os.environ.get("CLUBSHOP_MAIL_FROM", "clubshop@localhost")

# Called with the moment by send_messages before it sends: each writes the reminders that are due, once.
# Who had a hand in the work on a boiler is known higher up than where boilers are passed.
WORKED_ON_BOILER = "restorations.faults.reviewers.worked_on_boiler"

REMINDERS = [
    "restorations.engines.services.lay_up.queue_lay_up_reminders",
    "restorations.tasks.services.queue_due_reminders",
    "restorations.traffic.services.paper_reminders.queue_paper_reminders",
]

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "line": {
            "()": "restorations.members.log_lines.OneLine",
            "format": "%(asctime)s %(levelname)s %(name)s %(message)s",
        }
    },
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
}
