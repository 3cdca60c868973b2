"""A lane whose process cannot be started: its row waits, the lane tries again, and no other lane is held up."""

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone
from pytest_django.fixtures import Settings

from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_add
from config import outbox_loop, work_processes
from config.outbox_loop import OutboxLoop
from tests.integration.catalog.outbox.outbox_kinds import HANDLERS, LANES

pytestmark = pytest.mark.django_db


def test_a_process_that_does_not_start_costs_its_row_an_attempt_and_the_lanes_go_on(
    settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.OUTBOX_HANDLERS, settings.OUTBOX_LANES, settings.PERIODIC_WORK = HANDLERS, LANES, {}
    at, given = timezone.now() - timedelta(seconds=1), []

    def start(process: Any) -> None:
        given.append(process.name)
        raise OSError("no memory")

    monkeypatch.setattr(work_processes.PROCESSES.Process, "start", start)
    monkeypatch.setattr(outbox_loop, "close_old_connections", lambda: None)  # the connection is the test's
    monkeypatch.setattr(outbox_loop, "LOOK", 0)
    monkeypatch.setattr(work_processes, "IDLE", 0)
    rows = [outbox_add(kind=kind, payload={}, about="", summary="", at=at) for kind in ("mark", "slow")]
    loop = OutboxLoop()
    loop.turn()
    loop.turn()
    assert given == ["outbox documents", "outbox files"]
    assert [(row.status, row.attempts) for row in Outbox.objects.order_by("pk")] == [("waiting", 1)] * len(rows)
    assert min(Outbox.objects.values_list("run_after", flat=True)) > at + timedelta(seconds=50)
    loop.end()
