"""The outbox goes on after any error, in its loop and once, and the error is in the log."""

import logging
import threading

import pytest
from django.core.management import call_command

from config import outbox_loop
from config.outbox_loop import OutboxLoop


def test_a_round_that_fails_is_logged_and_does_not_end_the_loop(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    stop, rounds = threading.Event(), []

    def turn(_: OutboxLoop) -> None:
        rounds.append(1)
        if len(rounds) == 1:
            raise RuntimeError("a mistake of ours")
        stop.set()

    monkeypatch.setattr(OutboxLoop, "turn", turn)
    monkeypatch.setattr(outbox_loop, "REST", 0)
    with caplog.at_level(logging.ERROR):
        OutboxLoop().run(stop)
    assert len(rounds) == 2
    assert "the next one follows" in caplog.text
    assert "a mistake of ours" in caplog.text


def test_periodic_work_that_fails_keeps_no_mail_from_leaving(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    swept: list[bool] = []

    def fails(path: str) -> None:
        raise RuntimeError(path)

    monkeypatch.setattr("config.management.commands.outbox.periodic_work", fails)
    monkeypatch.setattr("config.management.commands.outbox.outbox_sweep", lambda *, at: swept.append(True))
    call_command("outbox", "--once")
    assert swept == [True]
    assert "quotes_expire failed" in caplog.text
