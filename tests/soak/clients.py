"""Clients of the pages: a browser's cookies and forms over plain HTTP, and many of them at the same moment."""

import http.client
import threading
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from importlib import import_module
from urllib.parse import urlencode

from django.conf import settings
from django.contrib.auth.models import User
from django.test import Client as SignedIn

_CSRF = "s" * 32
_PATIENCE = 60


@dataclass(frozen=True, slots=True)
class Answer:
    """A page, or status 0 where the connection broke: the client does not know what was done."""

    status: int
    body: str = ""
    location: str = ""
    seconds: float = 0.0

    @property
    def kind(self) -> str:
        """Whether the client was answered, refused, told of an error, or left without an answer."""
        if self.status == 0:
            return "unknown"
        return "ok" if self.status < 500 else "failed"


@dataclass
class Client:
    """One browser."""

    port: int
    cookies: dict[str, str] = field(default_factory=lambda: {"csrf": _CSRF})

    def get(self, path: str) -> Answer:
        """Open a page."""
        return self._ask("GET", path)

    def post(self, path: str, values: Mapping[str, str], read: bool = True) -> Answer:
        """Send a form; without ``read`` the client goes away before the answer."""
        return self._ask("POST", path, urlencode({"csrfmiddlewaretoken": _CSRF, **values}), read=read)

    def post_and_follow(self, path: str, values: Mapping[str, str]) -> Answer:
        """Send a form and open the page it leads to."""
        answer = self.post(path, values)
        return self.get(answer.location) if answer.location else answer

    def _ask(self, method: str, path: str, body: str = "", read: bool = True) -> Answer:
        started = time.monotonic()
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=_PATIENCE)
        headers = {
            "Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items()),
            "Connection": "close",
            **({"Content-Type": "application/x-www-form-urlencoded"} if body else {}),
        }
        try:
            connection.request(method, path, body or None, headers)
            if not read:
                return Answer(0)
            response = connection.getresponse()
            text = response.read().decode("utf-8", "replace")
        except (OSError, http.client.HTTPException):
            return Answer(0)
        finally:
            connection.close()
        for name, value in response.headers.items():
            if name.lower() == "set-cookie":
                key, _, rest = value.partition("=")
                self.cookies[key] = rest.partition(";")[0]
        location = response.headers.get("Location", "")
        return Answer(response.status, text, location, time.monotonic() - started)


def customer(port: int, links: Iterable[int]) -> Client:
    """Return a customer's browser that has opened these private links."""
    session = import_module(settings.SESSION_ENGINE).SessionStore()
    session["quote_links"] = list(links)
    session.save()
    client = Client(port)
    client.cookies["session"] = str(session.session_key)
    return client


def owner(port: int, user: User) -> Client:
    """Return the owner's browser, signed in."""
    signed_in = SignedIn()
    signed_in.force_login(user)
    client = Client(port)
    client.cookies["session"] = signed_in.cookies["session"].value
    return client


def at_once(deeds: Sequence[Callable[[], Answer]]) -> list[Answer]:
    """Do all deeds from the same moment on, and return the answers."""
    barrier = threading.Barrier(len(deeds))

    def done(deed: Callable[[], Answer]) -> Answer:
        barrier.wait()
        return deed()

    with ThreadPoolExecutor(len(deeds)) as pool:
        return list(pool.map(done, deeds))
