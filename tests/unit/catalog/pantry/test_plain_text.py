"""Every character is written as its rules say, whatever stands beside it."""

import sys
import unicodedata

from catalog.pantry import plain_text
from catalog.pantry.name_words import folded


def test_every_character_is_read_as_one_alone_is() -> None:
    every = "".join(map(chr, range(0x80, sys.maxunicode + 1, 7)))
    # The table of characters and the rule it is made of, without what is left out before.
    shown = plain_text._SELECTORS.sub("", every)
    assert shown.translate(plain_text._PLAIN) == "".join(map(plain_text._plain, shown))


def test_characters_lose_their_accents_and_nothing_else() -> None:
    assert folded("Crème brûlée, Nüsse, Mandľa — Œufs") == "creme brulee, nusse, mandla - oeufs"
    assert not any(map(unicodedata.combining, folded("e\u0301 a\u0308 o\u0328")))
