"""The word "just" in a sentence about food is no food."""

import pytest

from catalog.pantry.other_words import others_in


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("He cannot have it, just so you know.", []),
        ("We can't have just so many.", []),
        ("She can't have just.", []),
        ("She can't have lychwort, just so you know.", ["other:lychwort"]),
        ("Allergic to just kiwi.", ["other:kiwi"]),
    ],
)
def test_just_is_no_food(text: str, found: list[str]) -> None:
    assert list(others_in(text)) == found
