"""How long desserts may be out of the cold, in one sentence: never longer than any of them may."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from orders.documents.cold_words import cold_words
from orders.documents.content import content_read

WEDDING = content_read((Path(__file__).parents[3] / "browser" / "wedding.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    ("first", "second", "words"),
    [
        ({"out_minutes": 240}, {"out_minutes": 240}, "Keep cold. At most 4 h out of the cold in all, then throw away."),
        (
            {"out_minutes": 240},
            {"out_minutes": None},
            "Keep cold: %(first)s. At most 4 h out of the cold in all, then throw away.",
        ),
        (
            {"out_minutes": 120, "out_under": True},
            {"out_minutes": 240},
            "Keep cold. Less than 2 h out of the cold in all, some desserts longer, then throw away.",
        ),
        (
            {"out_minutes": 120},
            {"out_minutes": 240},
            "Keep cold. At most 2 h out of the cold in all, some desserts longer, then throw away.",
        ),
        (
            {"out_minutes": 120, "out_under": True},
            {"out_minutes": None},
            "Keep cold: %(first)s. Less than 2 h out of the cold in all, then throw away.",
        ),
        ({"out_minutes": 240}, {"out_minutes": 60, "until_warm": True}, ""),
        ({"out_minutes": None}, {"out_minutes": None}, ""),
    ],
)
def test_the_shortest_limit_stands_for_all(first: dict[str, Any], second: dict[str, Any], words: str) -> None:
    plain = {"until_warm": False, "out_under": False, "holding": ""}
    lines = tuple(
        replace(line, **{**plain, **limits}) for line, limits in zip(WEDDING.lines, (first, second), strict=False)
    )
    assert cold_words(replace(WEDDING, lines=lines)) == words % {"first": lines[0].name}


LIMITED = {"out_minutes": 240, "until_warm": False, "out_under": False, "holding": "Keep at 41 °F or colder."}
ROOM = {"out_minutes": None, "until_warm": False, "out_under": False, "holding": "Keep at room temperature."}
COLD = {**ROOM, "holding": "Keep at 41 °F or colder until it is served."}


@pytest.mark.parametrize(
    ("first", "second", "words"),
    [
        (ROOM, ROOM, ""),
        (LIMITED, ROOM, "Keep cold: %(first)s. At most 4 h out of the cold in all, then throw away."),
        (LIMITED, COLD, "Keep cold. At most 4 h out of the cold in all, then throw away."),
        ({**LIMITED, "out_minutes": 0}, ROOM, "Keep cold until served: %(first)s."),
        ({**LIMITED, "out_minutes": 0}, LIMITED, "Keep cold until it is served."),
    ],
)
def test_beside_what_is_kept_at_room_temperature_what_is_kept_cold_is_named(
    first: dict[str, Any], second: dict[str, Any], words: str
) -> None:
    lines = tuple(replace(line, **facts) for line, facts in zip(WEDDING.lines, (first, second), strict=False))
    assert cold_words(replace(WEDDING, lines=lines)) == words % {"first": lines[0].name}
