"""What is watched while hostile requests are sent: errors, the log, the time, the network, the rows."""

import gc
import hashlib
import logging
import re
import socket
import time
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from http import HTTPStatus
from typing import Any, Final

import pytest
from django.apps import apps
from django.core.signals import got_request_exception
from django.db import connection, transaction
from django.http import HttpResponse

from catalog.book.selectors import forget
from tests.hostile.requests import Attempt, environment
from tests.hostile.site import Site

#: Seconds of computing an answer may take. Not on the clock: the machine may be busy with something else.
MOST_SECONDS: Final = 5
_WRITES: Final = ("INSERT", "UPDATE", "DELETE", "REPLACE")
#: Tables in which a refused request may leave a trace: who came, how often somebody tried, what was handed out.
_TRACES: Final = ("config_browsersession", "catalog_trycount", "auditentry")
#: An approval that the kitchen has to look at first is refused, and the wish for it is a message and a mail.
_HELD: Final = re.compile(r"/q/\d+/approve/")
_WISHES: Final = ("_message", "_outbox")
#: A private link is shown in the answer that makes it, because it is stored nowhere.
_SHOWN_ONCE: Final = re.compile(r"/quotes/\d+/links/new/")
_LINKS: Final = ("orders_link",)
#: A check of a draft's window is asked for, and the page fetches what is known of it by then.
_CHECKED: Final = re.compile(r"/quotes/\d+/window/(?:\?.*)?")
_CHECKS: Final = ("_windowcheck", "_outbox")
#: What Django itself says of a request it refuses; answered with 400 or 413.
_REFUSED_BY_DJANGO: Final = "django.security"
#: Nothing does the outbox's work here, so whoever asks whether the service is ready hears that it is not: 503.
READY: Final = "/health/ready"


class _Log(logging.Handler):
    """Keeps errors that were logged."""

    def __init__(self) -> None:
        super().__init__(logging.ERROR)
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        """Keep an error, unless Django only says that it refused a request."""
        if not record.name.startswith(_REFUSED_BY_DJANGO) and READY not in record.getMessage():
            self.lines.append(f"{record.name}: {record.getMessage()}")


@contextmanager
def no_network() -> Iterator[list[object]]:
    """Refuse every connection; yield the addresses that were asked for."""
    asked: list[object] = []

    def refuse(*args: Any, **_: Any) -> None:
        asked.append(args[-1])
        raise OSError("this test refuses connections")

    with pytest.MonkeyPatch.context() as patch:
        for name in ("connect", "connect_ex", "sendto"):
            patch.setattr(socket.socket, name, refuse)
        patch.setattr(socket, "getaddrinfo", refuse)
        yield asked


@contextmanager
def undone() -> Iterator[None]:
    """Take back what is written inside; services inside may still begin the transaction they insist on."""
    block = transaction.atomic()
    block._from_testcase = True  # type: ignore[attr-defined]  # as Django's own test cases mark theirs
    with block:
        yield
        transaction.set_rollback(True)


def digest(but: tuple[str, ...] = _TRACES) -> str:
    """Return a hash of all rows but those of some tables, named by how they end."""
    whole = hashlib.sha256()
    with connection.cursor() as cursor:
        for model in apps.get_models(include_auto_created=True):
            table = model._meta.db_table
            if table.endswith(but):
                continue
            cursor.execute(f'SELECT * FROM "{table}" ORDER BY "{model._meta.pk.column}"')  # noqa: S608
            whole.update(repr((table, cursor.fetchall())).encode("utf-8", "surrogatepass"))
    return whole.hexdigest()


def _is_fault(path: str, status: int) -> bool:
    return status >= 500 and not (status == HTTPStatus.SERVICE_UNAVAILABLE and path.startswith(READY))


class Watch:
    """Sends requests one by one, each to the database as it was at the start, and notes what must not be."""

    def __init__(self, site: Site, network: list[object]) -> None:
        self.site, self.network = site, network
        #: What went wrong -> the requests it went wrong with.
        self.faults: dict[str, list[Attempt]] = {}
        self.statuses: dict[int, int] = {}
        self.slowest = 0.0
        self.accepted = 0
        self._before = {but: digest(but) for but in (_TRACES, _TRACES + _WISHES, _TRACES + _LINKS, _TRACES + _CHECKS)}
        self._wrote = False
        self._log = _Log()
        self._error = ""

    @contextmanager
    def watching(self) -> Iterator[None]:
        """Listen to errors, to the log, and to what is written."""

        def failed(**_: Any) -> None:
            self._error = traceback.format_exc()

        root = logging.getLogger()
        usual, root.handlers = root.handlers, [self._log]
        got_request_exception.connect(failed)
        try:
            with connection.execute_wrapper(self._noted):
                yield
        finally:
            got_request_exception.disconnect(failed)
            root.handlers = usual

    def _noted(self, execute: Any, sql: str, *rest: Any) -> Any:
        self._wrote = self._wrote or sql.startswith(_WRITES)
        return execute(sql, *rest)

    def send(self, made: Attempt) -> None:
        """Send a request and look at everything that may not follow from it."""
        self._wrote, self._error = False, ""
        client = self.site.clients[made.actor]
        cookies = client.cookies.copy()
        started = time.process_time()
        with undone():
            answer = self._answer(made)
            used = time.process_time() - started
            self._look(made, answer, used)
            if answer is not None and self._wrote and 300 <= answer.status_code < 400:
                self._look_afterwards(made, answer["Location"])
        client.cookies = cookies
        if made.number % 100 == 0:
            # Answers refer to themselves, and some hold megabytes.
            gc.collect()
        if self._wrote:
            forget()

    def _look_afterwards(self, made: Attempt, shown: str) -> None:
        """Open the page that is shown then, and any other: what was accepted may not break them."""
        forget()
        other = self.site.paths[made.number * 7 % len(self.site.paths)]
        for path in (shown, other):
            self._error = ""
            answer = self._answer(Attempt(made.number, made.actor, "GET", path))
            if answer is None or _is_fault(path, answer.status_code) or self._error:
                self._note(made, f"accepted, and then {path} fails: {self._error[-1500:]}")
        self._log.lines.clear()

    def _answer(self, made: Attempt) -> HttpResponse | None:
        try:
            path = made.path.encode("utf-8", "replace").decode()
            answer: HttpResponse = self.site.clients[made.actor].generic(
                made.method, path, made.body, made.content_type, **environment(made)
            )
        except Exception:  # whatever it is, it is what is looked for
            self._error = traceback.format_exc()
            return None
        if getattr(answer, "streaming", False):
            b"".join(answer.streaming_content)
        return answer

    def _look(self, made: Attempt, answer: HttpResponse | None, used: float) -> None:
        status = answer.status_code if answer is not None else 0
        self.statuses[status] = self.statuses.get(status, 0) + 1
        self.slowest = max(self.slowest, used)
        if status == 0 or _is_fault(made.path, status) or self._error:
            self._note(made, f"answered {status}: {self._error[-1500:]}")
        elif self._wrote:
            self._look_at_rows(made, status)
        if used > MOST_SECONDS:
            self._note(made, f"took {used:.1f} s")
        not_ready = made.path.startswith(READY) and status == HTTPStatus.SERVICE_UNAVAILABLE
        for line in self._log.lines:
            if not (not_ready and line.startswith("config.request_log")):
                self._note(made, f"logged: {line}")
        for address in self.network:
            self._note(made, f"called {address!r}")
        self._log.lines.clear()
        self.network.clear()

    def _look_at_rows(self, made: Attempt, status: int) -> None:
        # A form that is shown again is answered with 200, an accepted one with a redirect.
        if 300 <= status < 400:
            self.accepted += 1
            connection.check_constraints()
            return
        held = status == HTTPStatus.CONFLICT and _HELD.fullmatch(made.path)
        shown = status == HTTPStatus.OK and _SHOWN_ONCE.fullmatch(made.path)
        asked = status == HTTPStatus.OK and _CHECKED.fullmatch(made.path)
        but = _TRACES + (_WISHES if held else _LINKS if shown else _CHECKS if asked else ())
        if digest(but) != self._before[but]:
            self._note(made, f"changed rows, answered {status}")

    def _note(self, made: Attempt, what: str) -> None:
        self.faults.setdefault(what, []).append(made)

    def summary(self) -> str:
        """Return how much was sent, and what was answered."""
        answers = ", ".join(f"{status}: {number}" for status, number in sorted(self.statuses.items()))
        forms = f"{len(self.site.forms)} forms and {len(self.site.paths)} addresses"
        return (
            f"\n{sum(self.statuses.values())} requests over {forms}. Answers {answers}. {self.accepted} were accepted"
            f" and written; the slowest took {self.slowest:.2f} s of computing. {len(self.faults)} faults.\n"
        )

    def report(self) -> str:
        """Return every fault once, with the number of its requests and the first of them."""
        parts = [f"{len(mades)} x {what}\n  {mades[0]}" for what, mades in self.faults.items()]
        return f"{len(parts)} faults:\n\n" + "\n\n".join(sorted(parts)[:30])
