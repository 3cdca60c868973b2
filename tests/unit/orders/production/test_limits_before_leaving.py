"""A limit that is due only after the order has left is due before it leaves."""

from datetime import UTC, datetime, timedelta
from types import SimpleNamespace
from typing import Any

from costing.chilling import COOKED, PROFILES
from orders.production.limit_presenters import display_limits

ENDS = datetime(2027, 2, 5, 10, 0, tzinfo=UTC)


def test_the_earlier_of_the_rules_time_and_the_departure_counts() -> None:
    case = SimpleNamespace(hottest_c=80.0)
    plan: Any = SimpleNamespace(rule=PROFILES[COOKED], hot_before_min=0.0, case=case)
    by_rule = display_limits(plan, ENDS, leaves=ENDS + timedelta(hours=12))
    assert "before it leaves" not in by_rule
    first, last = display_limits(plan, ENDS, leaves=ENDS + timedelta(hours=4)).split(", ")
    assert "before it leaves" not in first
    assert "before it leaves at" in last
