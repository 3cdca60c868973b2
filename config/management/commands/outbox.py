"""Does the work of the outbox where no broker is configured: once, or in a loop."""

import logging
import signal
import threading
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.utils import timezone

from catalog.outbox.periodic import periodic_work
from catalog.outbox.services import outbox_sweep
from config.outbox_loop import OutboxLoop
from config.signing_key import require_signing_key

logger = logging.getLogger(__name__)


class Command(BaseCommand):
    """Runs what Celery's workers and beat would run."""

    # `serve` and `check` make the checks; here they would only load every page and the renderer for good.
    requires_system_checks = []
    help = "Send the mail, make the PDFs, read the files that are due, and do the periodic work."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare --once and --loop."""
        how = parser.add_mutually_exclusive_group(required=True)
        how.add_argument("--once", action="store_true", help="do what is due now and end")
        how.add_argument("--loop", action="store_true", help="go on until stopped, a process per lane")

    def handle(self, *args: Any, **options: Any) -> None:
        """Work once, or until SIGTERM or Ctrl-C; work in progress is ended first."""
        require_signing_key()  # mails hold signed links
        if options["once"]:
            _do_what_is_due()
            return
        stop = threading.Event()
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, lambda *_: stop.set())
        OutboxLoop().run(stop)


def _do_what_is_due() -> None:
    for path in settings.PERIODIC_WORK:
        try:
            periodic_work(path)
        except Exception:  # no piece of it keeps the mail from leaving; it is done again the next time
            logger.exception("%s failed", path)
    outbox_sweep(at=timezone.now())
