"""What the settings say when the service is served by HTTPS."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3]
SERVED = {
    "COLDSET_SECRET_KEY": "only-to-read-the-settings-0123456789-abcdefghijklmnopqrstuvwxyz",
    "COLDSET_HTTPS": "1",
    "COLDSET_HOSTS": "kitchen.example",
    "COLDSET_SITE_URL": "https://kitchen.example",
    "COLDSET_DEBUG": "0",
    "COLDSET_DB": ":memory:",
    "DJANGO_SETTINGS_MODULE": "config.settings",
    "PATH": os.environ["PATH"],
}


@pytest.mark.parametrize(("asked", "on_the_list"), [({}, "False"), ({"COLDSET_HSTS_PRELOAD": "1"}, "True")])
def test_nobody_is_put_on_the_browsers_list_unasked(asked: dict[str, str], on_the_list: str) -> None:
    program = "from django.conf import settings as s; print(s.SECURE_HSTS_PRELOAD, s.SECURE_HSTS_SECONDS > 0)"
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, env=SERVED | asked, capture_output=True, text=True, check=True
    )
    assert done.stdout.split() == [on_the_list, "True"]


_COOKIES = """
import django
from django.conf import settings
from django.http import HttpResponse
from django.test import RequestFactory
from django.utils.module_loading import import_string
django.setup()
from config.accounts.devices import remember_device
response, request = HttpResponse(), RequestFactory().get("/")
request.session = {}
notes = import_string(settings.MESSAGE_STORAGE)(request)
notes.add(25, "Saved.")
notes.update(response)
remember_device(request, response, "odile")
print(settings.SESSION_COOKIE_NAME, settings.CSRF_COOKIE_NAME, *response.cookies)
print(all(one["secure"] and one["httponly"] and one["path"] == "/" for one in response.cookies.values()))
"""


def test_every_cookie_is_bound_to_the_host_and_to_https() -> None:
    """OWASP ASVS 5.0.0, 3.3.1."""
    done = subprocess.run(
        [sys.executable, "-c", _COOKIES], cwd=ROOT, env=SERVED, capture_output=True, text=True, check=True
    )
    names, bound = done.stdout.splitlines()
    assert len(names.split()) == 4
    assert [name for name in names.split() if not name.startswith("__Host-")] == []
    assert bound == "True"
