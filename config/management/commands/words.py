"""Bring the British catalog up to date with what is marked for translation."""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from config.wording import catalogs
from config.wording.extraction import messages


class Command(BaseCommand):
    """Bring the British catalog up to date with what is marked for translation."""

    help = "Add texts that are new to the British catalog, spelled by its words, and drop those that are gone."
    requires_system_checks: Any = []

    def handle(self, *args: Any, **options: Any) -> None:
        """Write the catalog as a text and as Django reads it."""
        root = settings.BASE_DIR
        old = catalogs.read(root)
        new = catalogs.updated(old, messages(root))
        catalogs.write(root, new)
        known = {message.id for message in old}
        added = sum(1 for message in new if message.id and message.id not in known)
        self.stdout.write(f"{len(new)} texts, {added} new.")
