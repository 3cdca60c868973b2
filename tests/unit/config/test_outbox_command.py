"""The loop of the outbox goes on after any error, and the error is in the log."""

import logging
import threading

import pytest

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
