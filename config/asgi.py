"""ASGI entry point."""

import os

import django
from django.core.asgi import get_asgi_application

from config import collector
from config.signing_key import require_signing_key
from config.static_files import collect
from config.web_database import pages_wait_briefly

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
django.setup(set_prefix=False)
require_signing_key()
collect()
application = get_asgi_application()
pages_wait_briefly()
collector.settle()
