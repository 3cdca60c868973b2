"""``manage.py start``: from nothing to a page to open, on this machine alone."""

import os
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from config.signing_key import signing_key_make


class Command(BaseCommand):
    """Makes what is missing, then serves plain HTTP on loopback; a service behind a name runs ``serve``."""

    help = "Make the signing key and the database where they are missing, and serve this machine until Ctrl-C."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the port."""
        parser.add_argument("--port", default="8000", help="port to listen on (8000)")

    def handle(self, *args: Any, port: str, **options: Any) -> None:
        """Make the key, and become ``serve``, which brings the database up to date and prints the address."""
        try:
            key = signing_key_make()
        except OSError as problem:
            raise CommandError(
                f"{settings.VAR_DIR} cannot be written ({problem.strerror}). Set COLDSET_VAR to a folder of your own."
            ) from problem
        if key:
            self.stdout.write(f"Made the signing key {key}. Keep it: without it nobody stays signed in.")
        self._say_database()
        self.stdout.flush()
        local = {
            "COLDSET_HTTPS": "0",
            "COLDSET_SITE_URL": f"http://localhost:{port}",
            "COLDSET_HOSTS": "localhost,127.0.0.1,[::1]",
            "COLDSET_BEHIND_PROXY": "0",
            "COLDSET_LOG_LEVEL": os.environ.get("COLDSET_LOG_LEVEL", "WARNING"),
        }
        serve = ["serve", "--host", "127.0.0.1", "--port", port]
        steps = ["--first", "migrate --verbosity 0", "--then", "account first"]
        # The settings of this process were read without the key and with HTTPS.
        os.execve(sys.executable, [sys.executable, "-m", "django", *serve, *steps], {**os.environ, **local})  # noqa: S606

    def _say_database(self) -> None:
        database = settings.DATABASES["default"]
        if not database["ENGINE"].endswith("sqlite3"):
            self.stdout.write(
                f"The database is PostgreSQL, {database['NAME']} on {database['HOST'] or 'this machine'}."
            )
            return
        made = "The database" if Path(database["NAME"]).exists() else "The new database"
        self.stdout.write(f"{made} is {database['NAME']}.")
