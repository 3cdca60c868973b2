"""What is said of the cold, from times that are given."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.cooling.missing import Missing
from catalog.cooling.selectors import ColdTime, ProductCold
from catalog.records.reasons import Reason
from catalog.web import display
from catalog.web.display import DisplaySettings
from costing.chilling import TimeOutClause, TimeOutLimit
from costing.timing.chains import CoolingTime, _cooled
from costing.timing.schedule import TimedStep
from orders.quotes.draft.cooling import OutFrom, what_it_takes
from orders.quotes.draft.holding_words import holding_words
from orders.records.presenters import reason_sentence

CLAUSE = TimeOutClause(240, None, "A food code, clause 1")
STAGE = ColdTime(
    step=1,
    name="Chill",
    stated=720,
    slow=None,
    limit_c=5.0,
    place="Cold room",
    air_c=3.0,
    verdict="kept",
    rule="A rule",
)


@given(stated=st.integers(0, 3000), slow=st.none() | st.integers(0, 3000))
def test_the_longer_of_the_two_clocks_rules(stated: int, slow: int | None) -> None:
    cooling = None if slow is None else CoolingTime(slow, 5.0)
    step = _cooled(TimedStep("Chill", "chill", stated, attended=False), cooling)
    assert step.elapsed == max(stated, slow or 0)
    assert (step.until_c == 5.0) == (slow is not None and slow > stated)


@given(minutes=st.floats(0, 10_000))
def test_an_estimate_is_taken_down_to_five_minutes_and_a_rule_as_printed(minutes: float) -> None:
    estimated = TimeOutLimit(minutes, None).allowed_minutes
    assert 0 <= minutes - estimated < 6
    assert minutes < 5 or estimated % 5 == 0
    assert TimeOutLimit(minutes, CLAUSE).allowed_minutes == int(minutes)


def at(hour: int, minute: int) -> datetime:
    return datetime(2027, 2, 6, hour, minute, tzinfo=UTC)


LEAVING = OutFrom("leaving", at(14, 15))


def held(out: TimeOutLimit | None, begins: OutFrom = LEAVING) -> str:
    return holding_words(ProductCold((STAGE,), out), begins)


def test_without_end_nothing_is_counted() -> None:
    assert held(None) == "Keep at 41 °F or colder."
    missing = ProductCold(missing=Missing(Reason("no_mold", {"product": "Tart"}), "product", "tart"))
    assert holding_words(missing, LEAVING) == ""


def test_a_rule_says_when_to_throw_away_and_where_none_states_a_time_nothing_frightens() -> None:
    with display.use(DisplaySettings(degrees="C")):
        assert held(TimeOutLimit(240, CLAUSE)) == (
            "Keep at 5 °C or colder. At most 4 h out of the cold in all, on the way, setting up and on the table "
            "together; then throw it away."
        )
        for minutes in (43.2, 0.3):
            assert held(TimeOutLimit(minutes, None)) == "Keep at 5 °C or colder until it is served."


@pytest.mark.parametrize(
    ("place", "words", "plan"),
    [
        ("leaving", "our leaving", "we plan to leave"),
        ("unloading", "our unloading it", "we plan to unload"),
        ("pickup", "picking it up", ""),
    ],
)
def test_a_limit_of_the_house_says_from_when_it_counts(place: str, words: str, plan: str) -> None:
    out = TimeOutLimit(120, TimeOutClause(120, None, "our plan", kind="house"))
    until = f", so by {display.clock(at(16, 15))} ({plan} at {display.clock(at(14, 15))})" if plan else ""
    assert held(out, OutFrom(place, at(14, 15) if plan else None)) == (
        f"Keep at 41 °F or colder. Serve within 2 h of {words}{until}; then throw away what is left."
    )


def test_a_defence_says_less_than_and_once_and_australia_what_may_go_back() -> None:
    defence = TimeOutClause(240, None, "A schedule", kind="defence", under=True)
    assert "Less than 4 h out of the cold once only, on the way," in held(TimeOutLimit(240, defence))
    method = TimeOutClause(240, None, "A page", kind="accepted", under=True, back_minutes=120)
    assert held(TimeOutLimit(240, method)).endswith(
        "under 2 h it may go back into the cold; from 2 h on eat it and do not put it back; from 4 h on throw it away."
    )


@pytest.mark.parametrize(
    ("air_c", "wording"),
    [
        (4.5, "It needs air colder than 39 °F: no time works until then."),
        (4.0, "It needs air colder than 39 °F: no time works until then."),
        (3.9, "It needs colder air, less depth or a fan: no time works until then."),
    ],
)
def test_only_colder_air_helps_where_the_air_is_no_colder_than_the_limit(air_c: float, wording: str) -> None:
    assert reason_sentence(what_it_takes(replace(STAGE, air_c=air_c))) == wording


def test_names_with_commas_are_separated_by_semicolons() -> None:
    assert display.joined(["Tart", "Glass", "Square"]) == "Tart, Glass and Square"
    assert display.joined(["Custard, cup", "Glass"]) == "Custard, cup; Glass"
    assert display.joined(["Custard, cup"]) == "Custard, cup"
