"""Environment variables: a malformed one stops the start and says what to write."""

import pytest
from django.core.exceptions import ImproperlyConfigured

from config import env

KEYS = ("outbox", "inquiry")


def test_a_choice_is_one_of_its_words(monkeypatch: pytest.MonkeyPatch) -> None:
    assert env.choice("COLDSET_X", ("json", "lines"), default="lines") == "lines"
    monkeypatch.setenv("COLDSET_X", "JSON")
    assert env.choice("COLDSET_X", ("json", "lines"), default="lines") == "json"
    monkeypatch.setenv("COLDSET_X", "xml")
    with pytest.raises(ImproperlyConfigured, match="set it to json or lines"):
        env.choice("COLDSET_X", ("json", "lines"), default="lines")


def test_days_by_kind_are_whole_numbers(monkeypatch: pytest.MonkeyPatch) -> None:
    assert env.numbers("COLDSET_X", KEYS) == {}
    monkeypatch.setenv("COLDSET_X", "outbox=60, inquiry=365")
    assert env.numbers("COLDSET_X", KEYS) == {"outbox": 60, "inquiry": 365}


@pytest.mark.parametrize("text", ["outbox", "outbox=", "outbox=-1", "outbox=ten", "audit=1"])
def test_anything_else_stops_the_start(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    monkeypatch.setenv("COLDSET_X", text)
    with pytest.raises(ImproperlyConfigured, match="outbox, inquiry as key=days"):
        env.numbers("COLDSET_X", KEYS)
