"""WSGI entry point."""

import os

from django.core.wsgi import get_wsgi_application

from config.web_database import pages_wait_briefly

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
application = get_wsgi_application()
pages_wait_briefly()
