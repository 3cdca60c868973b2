"""The loop of the outbox goes on after any error, and the error is in the log."""

import logging

import pytest

from config.management.commands import outbox


def test_a_round_that_fails_is_logged_and_does_not_end_the_loop(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def fail() -> None:
        raise RuntimeError("a mistake of ours")

    monkeypatch.setattr(outbox, "_round", fail)
    monkeypatch.setattr(outbox, "close_old_connections", lambda: None)
    with caplog.at_level(logging.ERROR):
        outbox._round_or_log()
    assert "the next one follows" in caplog.text
    assert "a mistake of ours" in caplog.text
