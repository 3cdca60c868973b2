"""Texts that mean harm: what reads claims and needs takes time in proportion to a text, whatever is in it.

The longest field that is read has 4,000 characters. Time is compared with itself: of a text four times as long,
something linear takes four times as long, something quadratic sixteen times. What is read here has half that length, to
take half the time: what has a quadratic part that equals the linear one at 1,000 characters takes eight times as long
here, as it would ten times at the whole length.
"""

from collections.abc import Callable, Iterator
from functools import partial
from time import process_time
from typing import Final

import pytest

from catalog.pantry.note_needs import may_name_need, needs_in
from catalog.pantry.plain_text import plain_text
from catalog.products.claims import claims_in

LENGTH: Final = 2_000
#: What takes less is not compared [s]: of the longest text a quadratic one takes 0.2 s, and nobody notices that.
QUICK: Final = 0.05
#: Between linear (4) and quadratic (16), for a busy machine.
MOST: Final = 8.0
REPEATED: Final = (
    "no ", "free of ", "milk, ", "milk-", "nut-, ", "nut- ", "milk/", "milk or ", "x, ", "x or ", " ", "- ", "-", "\n",
    "1 ", "1 x ", "2 no ", "one is allergic to ", "vegan can eat ", "the guest ", "everything is ", "cannot promise ",
    "whether nut-free ", "allerg", "e\u0301", "\u0301", "\u200b", "?", "ohne ", "sans ", "leave ", "react ", "get ",
    "nothing x ", "for ", "safe for ", "all x ", "never met a ", "milk allergic guests ", "made x x ", "(nut) ",
    "ni noix ", "vegan können ", "not a trace of ", "mum with bread ", "good for a ", "free of the big ", "no raw ",
)  # fmt: skip
BEFORE: Final = ("", "1 ", "no ")


def texts(length: int) -> Iterator[str]:
    for before in BEFORE:
        for part in REPEATED:
            yield (before + part * (length // len(part) + 1))[:length]


def seconds(read: Callable[[str], object], text: str) -> float:
    """Return the processor time of a reading [s]."""
    begun = process_time()
    read(text)
    return process_time() - begun


READERS: Final = {
    "claims": lambda text: list(claims_in(text)),
    "needs": needs_in,
    "may name": partial(may_name_need, sold=("Walnut cake, 8 in", "Plum cup")),
    "plain": plain_text,
}


@pytest.mark.usefixtures("found_anew")
@pytest.mark.parametrize("reader", READERS)
def test_no_text_takes_more_than_its_length(reader: str) -> None:
    read = READERS[reader]
    for whole, quarter in zip(texts(LENGTH), texts(LENGTH // 4), strict=True):
        took = seconds(read, whole)
        if took < QUICK:
            continue
        of_quarter = min(seconds(read, quarter) for _ in range(2))
        # A reading only gets slower by what else the machine does: the least of some is nearest to what it takes.
        for _ in range(2):
            if took >= MOST * of_quarter:
                took = min(took, seconds(read, whole))
        assert took < QUICK or took < MOST * of_quarter, whole[:60]
