"""Thousands of hostile requests over every page and form: none breaks anything, leaves anything or calls anybody.

`make hostile` sends all of them; the ordinary run sends a share. COLDSET_HOSTILE is how many, COLDSET_HOSTILE_SEED
another row of them.
"""

import os
import sys
from collections.abc import Iterator

import pytest
from django.utils import timezone

from tests.hostile import kitchen
from tests.hostile.requests import attempt, searches
from tests.hostile.site import Site
from tests.hostile.watch import Watch, no_network
from tests.integration.config.routes import routes

pytestmark = pytest.mark.django_db

COUNT = int(os.environ.get("COLDSET_HOSTILE", "300"))
SEED = os.environ.get("COLDSET_HOSTILE_SEED", "1")

#: Views that no page links to: what a mail program makes of a link that it breaks in two, the undoing of what was
#: removed from a table, offered in the message after it, and prices that stay as sent, offered where one moved.
#: Answers about cooling are linked where a recipe lacks them.
NOT_LINKED = {"link-cut", "quote-rows-back", "quote-prices-stay", "recipe-answers"}


@pytest.fixture
def site(monkeypatch: pytest.MonkeyPatch) -> Site:
    monkeypatch.setattr(timezone, "now", lambda: kitchen.MOMENT)
    return Site.walked(kitchen.filled())


@pytest.fixture
def network() -> Iterator[list[object]]:
    with no_network() as asked:
        yield asked


def test_hostile_requests_break_leave_and_call_nothing(site: Site, network: list[object]) -> None:
    # A view that no page leads to gets requests to made-up rows only: make a row for it in `kitchen.py`.
    assert {route.name for route in routes()} - site.views() == NOT_LINKED
    watch = Watch(site, network)
    with watch.watching():
        for made in searches(site):
            watch.send(made)
        for number in range(COUNT):
            watch.send(attempt(site, SEED, number))
    sys.stdout.write(watch.summary())
    assert not watch.faults, watch.report()
    # Otherwise the requests would be refused at the door, and nothing would be tried.
    assert watch.accepted > COUNT / 20
