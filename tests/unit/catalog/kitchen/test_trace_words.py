"""What customers read about traces."""

import pytest

from catalog.kitchen.trace_words import ASK_FIRST, CROSS_CONTACT, trace_words


@pytest.mark.parametrize(
    ("own", "read"),
    [
        ("", CROSS_CONTACT),
        ("We bake with walnuts", f"We bake with walnuts. {CROSS_CONTACT}"),
        ("Nothing whatever can go wrong here!", f"Nothing whatever can go wrong here! {CROSS_CONTACT}"),
        # Contents of earlier days end with the invitation alone, or with all of it.
        (f"We bake with walnuts. {ASK_FIRST}", f"We bake with walnuts. {CROSS_CONTACT}"),
        (f"We bake with walnuts. {CROSS_CONTACT}", f"We bake with walnuts. {CROSS_CONTACT}"),
        (CROSS_CONTACT, CROSS_CONTACT),
    ],
)
def test_the_standing_caution_follows_the_kitchens_own_words_in_full(own: str, read: str) -> None:
    assert trace_words(own) == read
