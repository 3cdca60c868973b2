"""The service in processes of its own, started again when one dies, as a supervisor does."""

import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

from tests.databases import ROOT

_WORKER = ("celery", "-A", "config", "worker", "--loglevel", "ERROR")


@dataclass
class Part:
    """A process that is started again when it ends."""

    name: str
    command: tuple[str, ...]
    environment: dict[str, str]
    process: subprocess.Popen[bytes] | None = None
    starts: int = 0


@dataclass
class Service:
    """Web server, outbox and mail server on one database; ``folder`` has the switches of the faults and the logs."""

    folder: Path
    broker: str
    seed: int
    port: int = 0
    parts: dict[str, Part] = field(default_factory=dict)
    mail_file: Path = Path()

    def __post_init__(self) -> None:
        self.port, self.mail_port = free_port(), free_port()
        self.mail_file = self.folder / "mails.jsonl"
        self._lock, self._ended = threading.RLock(), threading.Event()
        threading.Thread(target=self._watch, daemon=True).start()

    def start(self, name: str, *arguments: str, **environment: str) -> Part:
        """Start ``python -m arguments`` as a part of this name."""
        base = {
            **os.environ,
            "SOAK_FOLDER": str(self.folder),
            "COLDSET_BROKER_URL": self.broker,
            "COLDSET_SMTP_HOST": "127.0.0.1",
            "COLDSET_SMTP_PORT": str(self.mail_port),
        }
        return self._begin(Part(name, (sys.executable, "-m", *arguments), base | environment))

    def start_web(self) -> None:
        """Start the pages, and wait until they answer; the program is loaded once, so that a killed worker is back."""
        options = ("--config", "python:config.gunicorn_settings", "--preload", "--bind", f"127.0.0.1:{self.port}")
        self.start("web", "gunicorn", "config.wsgi:application", *options, SOAK_PART="web")
        _wait_until_it_listens(self.port)

    def start_broker(self) -> None:
        """Start the Redis that Celery and the pages use, and wait until it answers."""
        port = urlsplit(self.broker).port
        options = ("--port", str(port), "--bind", "127.0.0.1", "--save", "", "--appendonly", "no")
        self._begin(Part("broker", ("redis-server", *options), dict(os.environ)))
        _wait_until_it_listens(port or 0)

    def start_mail(self, *options: str) -> None:
        """Start the mail server, good or bad."""
        self.start(
            "mail server", "tests.soak.mail_server", str(self.mail_port), str(self.mail_file), str(self.seed), *options
        )
        _wait_until_it_listens(self.mail_port)

    def start_outbox(self, **environment: str) -> None:
        """Start what does the outbox's work: Celery where there is a broker, the loop elsewhere."""
        environment = {"SOAK_PART": "outbox", **environment}
        if not self.broker:
            self.start("loop", "manage", "outbox", "--loop", **environment)
            return
        if "broker" not in self.parts:
            self.start_broker()
        mail = ("--queues", "mail", "--concurrency", "2", "--hostname", "mail@soak")
        others = ("--queues", "documents,files,exports,periodic", "--concurrency", "2", "--hostname", "others@soak")
        beat = ("--beat", "--schedule", str(self.folder / "beat"))
        self.start("worker of mail", *_WORKER, *mail, **environment)
        self.start("worker of files", *_WORKER, *others, *beat, **environment)

    def start_all(self, **environment: str) -> None:
        """Start pages, outbox and a good mail server, unless the proof before has started them."""
        if "web" not in self.parts:
            self.start_mail()
            self.start_outbox(**environment)
            self.start_web()

    def stop(self, *names: str, by_force: bool = False) -> None:
        """End parts; work in progress may end, unless they are ended by force."""
        with self._lock:
            parts = [part for name in names if (part := self.parts.pop(name, None)) is not None]
        for part in parts:
            if part.process is not None:
                part.process.send_signal(signal.SIGKILL if by_force else signal.SIGTERM)
        for part in parts:
            _end(part.process)

    def kill(self, name: str) -> None:
        """Kill a part's first process without a word; it is started again."""
        process = self.parts[name].process
        if process is not None:
            process.kill()

    def end(self) -> None:
        """End everything."""
        self._ended.set()
        # A worker of Celery that is told to stop still wants to talk with its broker.
        self.stop(*[name for name in self.parts if name != "broker"])
        self.stop("broker", by_force=True)

    def _begin(self, part: Part) -> Part:
        with self._lock:
            self.parts[part.name] = part
            self._run(part)
        return part

    def _run(self, part: Part) -> None:
        log = (self.folder / f"{part.name.replace(' ', '-')}.log").open("ab")
        part.starts += 1
        part.process = subprocess.Popen(
            part.command,
            env=part.environment,
            cwd=ROOT,
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=log,
            start_new_session=True,
        )
        log.close()

    def _watch(self) -> None:
        while not self._ended.wait(0.1):
            with self._lock:
                for part in self.parts.values():
                    if part.process is not None and part.process.poll() is not None:
                        self._run(part)


def _end(process: subprocess.Popen[bytes] | None) -> None:
    if process is None:
        return
    with suppress(subprocess.TimeoutExpired):
        process.wait(timeout=20)
    # What it started, and itself where it did not end.
    with suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)
    process.wait()


def free_port() -> int:
    """Return a port nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def redis_address(port: int) -> str:
    """Return the address of a Redis on this machine."""
    return f"redis://127.0.0.1:{port}/0"


def _wait_until_it_listens(port: int) -> None:
    deadline = time.monotonic() + 60
    while time.monotonic() < deadline:
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
        except OSError:
            time.sleep(0.05)
        else:
            return
    raise TimeoutError(f"nothing listens on port {port}")


def run(module: Sequence[str], environment: dict[str, str]) -> str:
    """Run ``python -m module`` and return what it printed; what it started ends with it."""
    process = subprocess.Popen(
        [sys.executable, "-m", *module],
        env=os.environ | environment,
        cwd=ROOT,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
        text=True,
    )
    try:
        printed, errors = process.communicate()
    finally:
        with suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
    if process.returncode:
        raise RuntimeError(errors[-2000:])
    return printed
