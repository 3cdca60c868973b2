"""Which texts say how a dessert is kept, and that what its own steps chill has the rule's time out of the cold."""

import pytest

from tests.integration.orders.quotes.send.test_holding_words import WORDS, content_sent, held_by_text_make

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("words", ["Serve with a spoon.", "Keep dry, in the shade."])
def test_a_text_that_does_not_speak_of_the_cold_is_no_word_on_how_it_is_kept(words: str) -> None:
    held_by_text_make(words)
    tart = content_sent().lines[0]
    assert (tart.holding, tart.out_minutes) == (f"{WORDS}\n{words}", 240)


def test_what_its_own_steps_chill_has_the_time_of_the_rule() -> None:
    held_by_text_make("")
    tart = content_sent().lines[0]
    assert (tart.holding, tart.out_minutes) == (WORDS, 240)
