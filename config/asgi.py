"""ASGI entry point."""

import os

from django.core.asgi import get_asgi_application

from config.web_database import pages_wait_briefly

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
application = get_asgi_application()
pages_wait_briefly()
