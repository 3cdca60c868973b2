"""Times out of the cold in the owner's records: which words state one, and what it makes of the rule's own."""

import pytest

from catalog.cooling.selectors import ProductCold
from costing.chilling import TimeOutClause, TimeOutLimit
from orders.quotes.cooling.recorded_out import by_record, out_minutes_in

FOUR = TimeOutClause(240.0, None, "a rule")
SIX = TimeOutClause(360.0, 21.0, "a rule, measured", kind="defence")
RULE = ProductCold(out=TimeOutLimit(240.0, FOUR, (SIX,)))


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("Probe at 2 h and 6 h; ice bath if above 70 °F at 2 h", None),
        ("Probe at 2 h. Out of the cold at most 90 min.", 90),
        ("Serve within 1.5 hours, then throw away what is left", 90),
        ("On the table 2 h 30 min at most", 150),
        ("Measured in two vessels", None),
        ("Probe at 2 h and 6 h; discard if above 70 °F at 2 h", None),
        ("Probe at 2 h, throw it away if it is warmer than 70 °F", None),
        ("Core at 2 h; not served if above 70 °F at 2 h", None),
        ("Probe at 2 h, else discard", None),
        ("Serve within 90 min, keep below 41 °F; throw away what is left over", 90),
        ("Out of the cold 90 min at most, core below 41 °F", 90),
        ("Discard after 2-hour display; served by 3 h", 120),
    ],
)
def test_only_words_about_serving_state_a_time(text: str, minutes: int | None) -> None:
    assert out_minutes_in(text) == minutes


def minutes_of(cold: ProductCold) -> int | None:
    return None if cold.out is None else cold.out.allowed_minutes


def test_a_shorter_record_counts_and_the_rule_where_it_is_the_shorter() -> None:
    assert minutes_of(by_record(RULE, 90)) == 90
    assert minutes_of(by_record(RULE, None)) == 240
    assert minutes_of(by_record(RULE, None, stated=60)) == 60
    assert minutes_of(by_record(RULE, None, stated=600)) == 240


def test_a_longer_record_takes_the_rules_measured_clause_or_leaves_hours_unsaid() -> None:
    assert minutes_of(by_record(RULE, 360)) == 360
    assert minutes_of(by_record(RULE, 300)) is None
