"""`manage.py check --deploy` warns where links in mails would lead nowhere."""

import pytest
from pytest_django.fixtures import Settings

from config.site_check import check_site_url


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
