"""Does the work of the outbox where no broker is configured: once, or in a loop."""

import logging
import signal
import threading
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import close_old_connections
from django.utils import timezone
from django.utils.module_loading import import_string

logger = logging.getLogger(__name__)


class Command(BaseCommand):
    """Runs what Celery's beat would run, in this process."""

    help = "Do the mail, PDF and reading work that is due, and let overdue quotes lapse."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare --once, --loop, and the seconds between two sweeps."""
        how = parser.add_mutually_exclusive_group(required=True)
        how.add_argument("--once", action="store_true", help="do what is due now and end")
        how.add_argument("--loop", action="store_true", help="go on until stopped")
        parser.add_argument("--every", type=int, default=30, metavar="SECONDS", help="pause of the loop (30)")

    def handle(self, *args: Any, **options: Any) -> None:
        """Sweep once, or until SIGTERM or Ctrl-C; the row in progress is finished first."""
        if options["every"] < 1:
            raise CommandError("--every is a whole number of seconds, 1 or more.")
        if options["once"]:
            _round()
            return
        stop = threading.Event()
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, lambda *_: stop.set())
        while not stop.is_set():
            _round_or_log()
            stop.wait(options["every"])


def _round() -> None:
    for entry in settings.PERIODIC_WORK:
        import_string(entry)(at=timezone.now())


def _round_or_log() -> None:
    """Sweep once; whatever goes wrong is logged, because a loop that ended would leave all later mail unsent."""
    close_old_connections()
    try:
        _round()
    except Exception:
        logger.exception("a round of the outbox failed; the next one follows")
    finally:
        close_old_connections()
