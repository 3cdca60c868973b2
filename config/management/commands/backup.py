"""``manage.py backup FILE``: the whole kitchen in one file, made while the service goes on."""

from argparse import ArgumentParser
from contextlib import suppress
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError
from django.utils import timezone

from catalog.upkeep.services import backup_recorded
from config.backup.errors import BackupError
from config.backup.services import backup_check, backup_make
from config.backup.words import backup_words, content_words


class Command(BaseCommand):
    """Backs up the database and the keys beside it; or checks a backup that was made."""

    help = (
        "Back up the database, the issued files in it and the signing key into a new file, while the service goes on."
    )
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the file and what is left out or added."""
        parser.add_argument("file", type=Path, metavar="FILE", help="a file that does not exist yet")
        parser.add_argument("--without-key", action="store_true", help="leave the signing key out")
        parser.add_argument("--with-mail-password", action="store_true", help="add the mail server's password")
        parser.add_argument(
            "--check", action="store_true", help="make nothing: read FILE to its end and say what it is"
        )

    def handle(self, *args: Any, file: Path, **options: Any) -> None:
        """Make it or check it, and print what is in it."""
        try:
            if options["check"]:
                self.stdout.write(f"Whole and readable: {content_words(backup_check(file))}")
                return
            now = timezone.now()
            made = backup_make(
                path=file,
                signing_key=not options["without_key"],
                mail_password=options["with_mail_password"],
                at=now,
            )
            # For the owner's page about backups; the backup is made whether or not this can be written.
            with suppress(DatabaseError):
                backup_recorded(at=now, size=made.size, encrypted=made.encrypted)
        except BackupError as refused:
            raise CommandError(str(refused)) from refused
        except OSError as problem:
            raise CommandError(f"The backup could not be written: {problem}.") from problem
        if options["verbosity"]:
            self.stdout.write("\n".join(backup_words(made)))
