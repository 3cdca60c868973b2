"""WSGI entry point."""

import os

import django
from django.core.wsgi import get_wsgi_application

from config.static_files import collect
from config.web_database import pages_wait_briefly

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
django.setup(set_prefix=False)
collect()
application = get_wsgi_application()
pages_wait_briefly()
