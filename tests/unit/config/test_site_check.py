"""`manage.py check --deploy` says what is wrong in words that name the variable and the fix."""

import pytest
from django.core.checks.security import base, csrf, sessions
from pytest_django.fixtures import Settings

from config.site_check import check_environment, check_site_url

GOOD = "0123456789-abcdefghijklmnopqrstuvwxyz-ABCDEFGHIJKLMNOPQ"


@pytest.mark.parametrize(
    ("address", "fine"),
    [
        ("https://kitchen.example", True),
        ("https://kitchen.example:8443", True),
        ("https://other.example", False),
        ("http://kitchen.example", False),
        ("http://localhost:8000", False),
    ],
)
def test_the_address_in_mails_is_one_that_is_answered_by_https(settings: Settings, address: str, fine: bool) -> None:
    settings.ALLOWED_HOSTS, settings.SITE_URL = ["kitchen.example"], address
    assert (check_site_url() == []) is fine


@pytest.fixture
def deployed(settings: Settings) -> Settings:
    """Settings of a service that people use."""
    settings.DEBUG, settings.HTTPS, settings.ALLOWED_HOSTS = False, True, ["kitchen.example"]
    settings.SECRET_KEY, settings.SECRET_KEY_FALLBACKS = GOOD, []
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    return settings


def test_a_service_as_documented_has_nothing_to_mend(deployed: Settings) -> None:
    assert check_environment() == []


@pytest.mark.parametrize(
    ("name", "value", "found", "variable"),
    [
        ("DEBUG", True, "coldset.W003", "COLDSET_DEBUG"),
        ("HTTPS", False, "coldset.W004", "COLDSET_HTTPS"),
        ("ALLOWED_HOSTS", [], "coldset.W005", "COLDSET_HOSTS"),
        ("ALLOWED_HOSTS", ["*"], "coldset.W005", "COLDSET_HOSTS"),
        ("SECRET_KEY", "", "coldset.W006", "COLDSET_SECRET_KEY"),
        ("SECRET_KEY", "short", "coldset.W006", "COLDSET_SECRET_KEY"),
        ("SECRET_KEY", "a" * 80, "coldset.W006", "COLDSET_SECRET_KEY"),
        ("SECRET_KEY_FALLBACKS", [GOOD, "short"], "coldset.W007", "COLDSET_OLD_SECRET_KEYS"),
        ("EMAIL_BACKEND", "django.core.mail.backends.filebased.EmailBackend", "coldset.I001", "COLDSET_SMTP_HOST"),
    ],
)
def test_each_says_the_variable_and_the_fix(
    deployed: Settings, name: str, value: object, found: str, variable: str
) -> None:
    setattr(deployed, name, value)
    (message,) = check_environment()
    assert message.id == found
    assert variable in f"{message.msg} {message.hint}"
    assert message.hint
    assert "SECURE_" not in f"{message.msg} {message.hint}"


def test_what_is_left_out_of_djangos_checks_is_asked_here(deployed: Settings) -> None:
    """Every check of Django that is silenced fires only where one of ours does."""
    deployed.DEBUG = deployed.HTTPS = False
    deployed.DEBUG, deployed.ALLOWED_HOSTS, deployed.SECRET_KEY, deployed.SECRET_KEY_FALLBACKS = True, [], "a", ["b"]
    deployed.SECURE_SSL_REDIRECT = deployed.SESSION_COOKIE_SECURE = deployed.CSRF_COOKIE_SECURE = False
    deployed.SECURE_HSTS_SECONDS = 0
    asked = (
        base.check_sts, base.check_ssl_redirect, base.check_secret_key, base.check_secret_key_fallbacks,
        base.check_debug, base.check_allowed_hosts, csrf.check_csrf_cookie_secure, sessions.check_session_cookie_secure,
    )  # fmt: skip
    theirs = {message.id for check in asked for message in check(None)}
    assert theirs <= set(deployed.SILENCED_SYSTEM_CHECKS)
    assert {message.id for message in check_environment()} >= {f"coldset.W00{number}" for number in range(3, 8)}
