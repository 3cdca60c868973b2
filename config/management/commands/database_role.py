"""``manage.py database_role NAME``: the PostgreSQL role the application works under, with no right it does not need."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError

from config.database_role import RoleRefused, role_make


class Command(BaseCommand):
    """Makes the role or brings its rights up to date. Run it as the owner, after every ``migrate``."""

    help = "Make or update the PostgreSQL role of the application. Run it as the tables' owner, after every migrate."
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the name, and where its password is."""
        parser.add_argument("name", metavar="NAME")
        parser.add_argument("--password-file", type=Path, metavar="FILE", help="a file with the role's password")

    def handle(self, *args: Any, name: str, password_file: Path | None, **options: Any) -> None:
        """Make or update it."""
        try:
            password = password_file.read_text().strip() if password_file else ""
            new = role_make(name=name, password=password)
        except RoleRefused as refused:
            raise CommandError(str(refused)) from refused
        except (OSError, DatabaseError) as problem:
            raise CommandError(f"The role was not changed: {problem}") from problem
        self.stdout.write(
            f"The role {name} {'was made' if new else 'has its rights again'}: name it in COLDSET_DATABASE_URL of the "
            "web server and the workers. Run migrate, and this command after it, as the owner."
        )
