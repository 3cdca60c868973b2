"""The bands that are printed are the bands that are computed, and every place prints the same words."""

from __future__ import annotations

import re
from math import ceil, floor
from pathlib import Path

import pytest

from catalog.cooling.caution_presenters import band_words, cautions_shown
from catalog.cooling.words import thick_words
from costing.chilling import PROFILES, Plan, Range, read_case, report
from costing.chilling.cautions import LATER, SOONER
from costing.chilling.profiles import COOKED
from tests.published.chilling import CASES

ROOT = Path(__file__).parents[2]
NEVER_AT_THE_SLOW_END = {"O10"}
"""It leaves the cold before its core is at 5 °C."""


def cold_ranges() -> dict[str, Range]:
    found = {}
    for one in CASES:
        case, _ = read_case(one["inputs"])
        plan = Plan(case.body, case.food, case.initial_c, case.stages, PROFILES[COOKED])
        found[one["id"]] = report(plan).cold
    return found


def rounded_outwards(shares: list[float]) -> tuple[int, int]:
    """Round the least down and the most up to whole fives of a per cent."""
    return 5 * floor(min(shares) * 20), 5 * ceil(max(shares) * 20)


def test_the_printed_band_is_that_of_the_published_cases() -> None:
    """Ten cases computed apart from this project (`chilling_cases.json`); their ranges are computed here."""
    ranges = cold_ranges()
    assert {name for name, one in ranges.items() if one.slow is None} == NEVER_AT_THE_SLOW_END
    sooner = [1 - (one.fast or 0) / (one.likely or 0) for one in ranges.values()]
    later = [one.slow / (one.likely or 0) - 1 for one in ranges.values() if one.slow is not None]
    assert rounded_outwards(sooner) == SOONER
    assert rounded_outwards(later) == LATER


def test_the_slow_ends_computed_apart_lie_within_the_printed_band() -> None:
    """O02 963 -> 1532, O05 760 -> 1229, O07 128 -> 205, O09 268 -> 410 min, computed apart from this project."""
    for likely, slow in ((963, 1532), (760, 1229), (128, 205), (268, 410)):
        assert LATER[0] <= 100 * (slow / likely - 1) <= LATER[1]


def test_every_place_prints_the_same_words() -> None:
    assert band_words() in " ".join((ROOT / "README.md").read_text().split())
    assert band_words() in cautions_shown()[0]


#: A share or a multiple of the estimate, as a sentence would print it.
_A_BAND = re.compile(
    r"\d\s?(%|per cent|times)[^.]{0,40}\b(sooner|later|longer|shorter|estimate)\b"
    r"|\b(quarter|third|half|two fifths|twice)\b[^.]{0,30}\b(too (long|short)|longer|shorter|sooner|as long)\b",
    re.IGNORECASE,
)
_TEXTS = ("templates/**/*.html", "templates/**/*.txt", "catalog/**/*.py", "orders/**/*.py", "config/**/*.py")


def _band_words(text: str) -> list[str]:
    """Return what reads as a band and is not one that is computed; comments and docstrings are not printed."""
    printed = re.sub(r'"""(.|\n)*?"""|^\s*#.*$|{#.*?#}', " ", text, flags=re.MULTILINE)
    left = " ".join(printed.split()).replace(band_words(), " ").replace(f"{thick_words()} ", " ")
    return [found.group() for found in _A_BAND.finditer(left)]


def test_no_page_mail_or_sheet_prints_a_band_of_its_own() -> None:
    paths = {path for pattern in _TEXTS for path in ROOT.glob(pattern)}
    assert len(paths) > 500
    assert {str(path.relative_to(ROOT)): words for path in paths if (words := _band_words(path.read_text()))} == {}


@pytest.mark.parametrize(
    "words",
    ["typically a quarter too short to two fifths too long", "food is cold 20% sooner", "up to twice as long"],
)
def test_a_band_of_its_own_is_found(words: str) -> None:
    assert _band_words(f"<p>It is {words}.</p>")
