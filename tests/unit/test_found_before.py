"""What was found in a text before is given again; where a test replaces code it is found by that."""

import pytest

from catalog.pantry import kind_words
from catalog.products import claims, spoken


def test_a_text_is_read_once_wherever_it_is_asked_about(monkeypatch: pytest.MonkeyPatch) -> None:
    assert spoken.kinds_named is kind_words.kinds_named
    assert kind_words.kinds_named("Marzipan of persipan") == ("almonds",)
    read = kind_words.kinds_named.__wrapped__  # type: ignore[attr-defined]
    assert read("Marzipan of persipan") == ("almonds",)
    assert list(claims.claims_in("Nut-free cake")) == list(claims.claims_in("Nut-free cake")) != []
    monkeypatch.setattr(kind_words, "folded", lambda _: "nothing")
    assert kind_words.kinds_named("Marzipan of persipan") == ()


def test_what_a_test_replaced_is_not_known_to_the_next() -> None:
    assert kind_words.kinds_named("Marzipan of persipan") == ("almonds",)


@pytest.mark.usefixtures("found_anew")
def test_it_can_be_found_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []
    folded = kind_words.folded
    monkeypatch.setattr(kind_words, "folded", lambda text: (asked.append(text), folded(text))[1])
    for _ in range(2):
        assert kind_words.kinds_named("Panko") == ("wheat", "gluten")
    assert len(asked) == 2
