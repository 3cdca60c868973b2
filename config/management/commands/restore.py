"""``manage.py restore FILE``: a backup into an empty place, all of it or nothing."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from config.backup.errors import BackupError
from config.backup.services import backup_restore
from config.backup.words import restored_words


class Command(BaseCommand):
    """Restores a backup and says what to look at now."""

    help = "Restore a backup into an empty database, and say what to look at before the service starts."
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the file, and that a database may be set aside."""
        parser.add_argument("file", type=Path, metavar="FILE", help="a backup")
        parser.add_argument("--replace", action="store_true", help="set a database that is there aside")

    def handle(self, *args: Any, file: Path, replace: bool, **options: Any) -> None:
        """Restore, and print what the owner has to know."""
        try:
            restored = backup_restore(path=file, replace=replace, at=timezone.now())
        except BackupError as refused:
            raise CommandError(str(refused)) from refused
        except OSError as problem:
            raise CommandError(f"The backup could not be restored: {problem}.") from problem
        self.stdout.write("\n".join(restored_words(restored)))
