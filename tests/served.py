"""The service as it is deployed, for measuring: static files collected, a server on a port, bytes as they travel."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NamedTuple

from django.core.management import call_command
from django.test import override_settings
from django.test.testcases import LiveServerThread

from config.settings import STORAGES

#: How long a browser may keep what is named by its content [s].
A_YEAR = 365 * 24 * 60 * 60


class Answer(NamedTuple):
    """What one request of a page brought: its address, and the bytes of headers and body on the wire."""

    address: str
    size: int


@contextmanager
def collected(folder: Path) -> Iterator[None]:
    """Collect the static files of the pages into a folder, and let everything made inside serve them from there."""
    with override_settings(STATIC_ROOT=folder, STORAGES=STORAGES, WHITENOISE_USE_FINDERS=False):
        if not any(folder.iterdir()):
            call_command("collectstatic", interactive=False, verbosity=0, ignore_patterns=["admin"])
        yield


@contextmanager
def server() -> Iterator[str]:
    """Serve on a free port through the service's own middleware, and give its address."""
    thread = LiveServerThread("localhost", static_handler=lambda handler: handler)
    thread.daemon = True
    thread.start()
    thread.is_ready.wait()
    if thread.error:
        raise thread.error
    try:
        yield f"http://localhost:{thread.port}"
    finally:
        thread.terminate()


def weighed(page: Any, address: str, *, is_first: bool = True) -> list[Answer]:
    """Open an address in Chromium, first or with what it kept; return what every request brought, redirects too."""
    addresses: dict[str, str] = {}
    answers: list[Answer] = []
    watch = page.context.new_cdp_session(page)
    watch.send("Network.enable")
    watch.send("Network.setCacheDisabled", {"cacheDisabled": is_first})

    def asked(event: dict[str, Any]) -> None:
        addresses[event["requestId"]] = event["request"]["url"]
        if "redirectResponse" in event:
            before = event["redirectResponse"]
            answers.append(Answer(before["url"], int(before["encodedDataLength"])))

    def came(event: dict[str, Any]) -> None:
        answers.append(Answer(addresses[event["requestId"]], int(event["encodedDataLength"])))

    watch.on("Network.requestWillBeSent", asked)
    watch.on("Network.loadingFinished", came)
    page.goto(address)
    page.wait_for_load_state("networkidle")
    watch.detach()
    return answers
