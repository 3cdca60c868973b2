"""What is said of the cold, from times that are given."""

from dataclasses import replace

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
from orders.quotes.draft.cooling import what_it_takes
from orders.quotes.draft.presenters import holding_words
from orders.records.presenters import reason_sentence
from orders.records.window_presenters import names_words

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


def test_without_end_nothing_is_counted() -> None:
    assert holding_words(ProductCold((STAGE,))) == "Keep at 41 °F or colder."
    assert holding_words(ProductCold(missing=Missing(Reason("no_mold", {"product": "Tart"}), "product", "tart"))) == ""


def test_a_rule_and_an_estimate_say_different_things() -> None:
    with display.use(DisplaySettings(degrees="C")):
        assert holding_words(ProductCold((STAGE,), TimeOutLimit(240, CLAUSE))) == (
            "Keep at 5 °C or colder. At most 4 h out of the cold in all, on the way, setting up and on the table "
            "together; then throw it away."
        )
        assert holding_words(ProductCold((STAGE,), TimeOutLimit(43.2, None))).endswith(
            "warmer than that after about 40 min."
        )
        assert holding_words(ProductCold((STAGE,), TimeOutLimit(0.3, None))).endswith("warmer than that at once.")


@pytest.mark.parametrize(
    ("air_c", "wording"),
    [
        (4.5, "It takes air colder than 39 °F: no window works until then."),
        (4.0, "It takes air colder than 39 °F: no window works until then."),
        (3.9, "It takes colder air, less depth or a fan: no window works until then."),
    ],
)
def test_only_colder_air_helps_where_the_air_is_no_colder_than_the_limit(air_c: float, wording: str) -> None:
    assert reason_sentence(what_it_takes(replace(STAGE, air_c=air_c))) == wording


def test_names_with_commas_are_separated_by_semicolons() -> None:
    assert names_words(["Tart", "Glass", "Square"]) == "Tart, Glass and Square"
    assert names_words(["Custard, cup", "Glass"]) == "Custard, cup; Glass"
    assert names_words(["Custard, cup"]) == "Custard, cup"
