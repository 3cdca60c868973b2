"""Serves the pages on one machine: gunicorn and the outbox loop, each started again when it dies, ended together."""

import signal
import socket
import subprocess
import sys
import time
from argparse import ArgumentParser
from types import FrameType
from typing import Any, Final, NoReturn

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from config.signing_key import require_signing_key
from config.supervisor import Part, Process

_PATIENCE: Final = 60


class Command(BaseCommand):
    """Starts the web server and, where no broker is named, the outbox loop; Ctrl-C ends both."""

    help = "Serve the pages on this machine until Ctrl-C."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the address, the commands to run before, and those once the server answers."""
        parser.add_argument("--host", default="127.0.0.1", help="address to listen on (127.0.0.1)")
        parser.add_argument("--port", default="8000", help="port to listen on (8000)")
        parser.add_argument("--first", default="", metavar="COMMAND", help="management command to run before it starts")
        parser.add_argument("--then", default="", metavar="COMMAND", help="management command to run once it listens")

    def handle(self, *args: Any, **options: Any) -> None:
        """Start the processes, print the address, and wait."""
        require_signing_key()
        host, port = options["host"], _port(options["port"])
        _refuse_taken(host, port)
        parts: list[Part] = []
        # Handle SIGINT too: a shell ignores it for processes in the background.
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, _interrupt)
        try:
            _run(options["first"])
            web = Part("the web server", lambda: _gunicorn(host, port))
            parts.append(web)
            if not settings.CELERY_BROKER_URL:
                parts.append(Part("the outbox", _outbox))
            _wait_until_it_listens(web, host, port)
            _run(options["then"])
            self.stdout.write(f"Coldset answers at {settings.SITE_URL}/ (Ctrl-C ends it).")
            self.stdout.flush()
            _watch(parts)
        except KeyboardInterrupt:
            self.stdout.write("\nEnding.")
        finally:
            _end(parts)


def _run(command: str) -> None:
    if command:
        call_command(*command.split())


def _port(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 0 < int(text) < 65536):
        raise CommandError(f"PORT is {text!r}: give a number from 1 to 65535.")
    return int(text)


def _refuse_taken(host: str, port: int) -> None:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError as error:
            raise CommandError(
                f"Port {port} on {host} cannot be used ({error.strerror}). "
                f"Stop what uses it, or choose another: --port {port + 1} (make demo PORT={port + 1})"
            ) from error


def _start(*arguments: str) -> Process:
    """Start a child in its own process group, so that Ctrl-C at the terminal reaches only this process."""
    command = [sys.executable, "-m", *arguments]
    return subprocess.Popen(command, start_new_session=True, stdin=subprocess.DEVNULL)  # noqa: S603 - our own programs


def _gunicorn(host: str, port: int) -> Process:
    address = f"[{host}]:{port}" if ":" in host else f"{host}:{port}"
    options = ["--config", "python:config.gunicorn_settings", "--bind", address]
    return _start("gunicorn", "config.wsgi:application", *options)


def _outbox() -> Process:
    return _start("django", "outbox", "--loop")


def _wait_until_it_listens(server: Part, host: str, port: int) -> None:
    here = {"0.0.0.0": "127.0.0.1", "::": "::1"}.get(host, host)  # noqa: S104 - compared, not bound
    for _ in range(_PATIENCE * 5):
        if server.process is None or server.process.poll() is not None:
            raise CommandError("The web server stopped while it started; the lines above say why.")
        try:
            socket.create_connection((here, port), timeout=1).close()
        except OSError:
            time.sleep(0.2)
        else:
            return
    raise CommandError(f"The web server did not answer within {_PATIENCE} seconds.")


def _watch(parts: list[Part]) -> NoReturn:
    """Start again what dies, until a signal ends all."""
    while True:
        time.sleep(0.25)
        for part in parts:
            part.look(now=time.monotonic())


def _end(parts: list[Part]) -> None:
    for part in parts:
        part.end()
    for part in parts:
        part.wait()


def _interrupt(_number: int, _frame: FrameType | None) -> None:
    raise KeyboardInterrupt
