"""The demo kitchen: prepared once, reused on later runs, reset on request."""

import json
import os
import shutil
from argparse import ArgumentParser
from pathlib import Path
from typing import Any, Final

from django.conf import settings
from django.contrib.auth.models import Group, User
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connections
from django.utils import timezone

from catalog.book.services import book_import
from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen
from catalog.outbox.models import Outbox
from catalog.web.access import ROLES
from config.demo import year
from config.demo.catalog import catalog
from config.demo.profile import PEOPLE
from config.demo.shown import pictures_show
from orders.approvals.links import link_create
from orders.approvals.presenters import link_address
from orders.quotes.models import Quote
from orders.records.states import QuoteStatus

#: Password of the demo's users; the demo listens on this machine only.
PASSWORD: Final = "tansy-{}-2026"  # noqa: S105 - printed on purpose


class Command(BaseCommand):
    """``demo prepare`` fills an empty database; ``demo pages`` prints what to open."""

    help = "Prepare the invented kitchen (prepare [--reset]) or print its pages and log-ins (pages)."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the action."""
        parser.add_argument("act", choices=["prepare", "pages"])
        parser.add_argument("--reset", action="store_true", help="delete the demo's data first")

    def handle(self, *args: Any, **options: Any) -> None:
        """Prepare, or print."""
        if options["act"] == "pages":
            self._pages()
            return
        if options["reset"]:
            self._forget()
        call_command("migrate", verbosity=0)
        if Kitchen.objects.exists():
            self.stdout.write("The demo kitchen is as you left it (RESET=1 starts over).")
        else:
            self._fill(os.environ.get("PROFILE", "us"))

    def _forget(self) -> None:
        database = settings.DATABASES["default"]
        if not database["ENGINE"].endswith("sqlite3"):
            raise CommandError("The demo starts over only on SQLite. Empty the PostgreSQL database by hand.")
        connections.close_all()
        for suffix in ("", "-wal", "-shm"):
            Path(f"{database['NAME']}{suffix}").unlink(missing_ok=True)
        shutil.rmtree(settings.EMAIL_FILE_PATH, ignore_errors=True)

    def _fill(self, which: str) -> None:
        self.stdout.write("Preparing the invented kitchen; this takes a minute, once.")
        book_import(data=json.dumps(catalog(which, today=timezone.localdate())).encode())
        for role in ROLES:
            Group.objects.get_or_create(name=role)
        for name, role, full in PEOPLE:
            first, _, last = full.partition(" ")
            user = User.objects.create_user(name, password=PASSWORD.format(role), first_name=first, last_name=last)
            user.groups.add(Group.objects.get(name=role))
        pictures_show(by=PEOPLE[0][0], at=timezone.now())
        with timezone.override(kitchen().time_zone):
            year.build_year(timezone.now(), report=self.stdout.write)
        # Their times are the story's; to the page about mail and files they would be months late.
        now = timezone.now()
        Outbox.objects.filter(status=Outbox.Status.WAITING).update(created_at=now, run_after=now)

    def _pages(self) -> None:
        site = settings.SITE_URL
        lines = ["", f"{kitchen().name}: open {site}/ and sign in", ""]
        lines += [f"  {role:<11} {name:<7} {PASSWORD.format(role)}" for name, role, _full in PEOPLE]
        waiting = Quote.objects.filter(status=QuoteStatus.SENT, valid_until__gt=timezone.now()).order_by("-total_minor")
        for quote in waiting.select_related("inquiry")[:1]:
            lines += [
                "",
                f"A customer's private link ({quote.inquiry.title}; try it on a phone's width):",
                f"  {link_address(link_create(quote_id=quote.pk, at=timezone.now()))}",
            ]
            lines += [f"The same quote as its owner sees it: {site}/quotes/{quote.pk}/"]
        lines += ["", f"Mail goes to files in {os.path.relpath(settings.EMAIL_FILE_PATH)}", ""]
        self.stdout.write("\n".join(lines))
