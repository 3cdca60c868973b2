"""How long a batch counts in an order's plan, also where no slow end is known of it."""

from datetime import timedelta
from decimal import Decimal

import pytest

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.batch_reports import batch_colds
from catalog.cooling.planned import timing_of
from catalog.vessels.models import Vessel
from costing import Brief, BriefLine, estimate
from costing.chilling import THICK_MOST
from costing.timing.chains import working_hours
from tests.batch_kitchen import batch_kitchen_make
from tests.factories import NOW

pytestmark = pytest.mark.django_db
TART = "custard-tart"


def planned(units: int) -> tuple[int, float, float | None]:
    """Return how long the custard's stay in the cold is planned, and its likely time and slow end [min]."""
    book = book_current()
    hours = working_hours(book)
    assert hours is not None
    day = NOW.date()
    found = estimate(book, Brief(date=day, supply_date=day, customer_kind=None, lines=(BriefLine(TART, units),)))
    timing = timing_of(book, found, hours, leaves=NOW + timedelta(days=30), now=NOW, cold={})
    (cold,) = batch_colds([(one.recipe, one.grams) for one in found.recipes], book)
    assert cold.missing is None, cold.missing
    (times,) = cold.times
    assert times.trial.cold_likely is not None
    step = timing.works["recipe:custard"].steps[times.cycle.last_at]
    return step.elapsed, times.trial.cold_likely, times.trial.cold_slow


def test_a_batch_in_tubs_counts_until_its_slow_end() -> None:
    batch_kitchen_make()
    elapsed, likely, slow = planned(48)
    assert slow is not None
    assert slow - 5 <= elapsed
    assert elapsed > likely > 240


def test_a_pot_thicker_than_was_measured_counts_the_longest_that_was() -> None:
    """It would be planned on its stated four hours otherwise, and leave before it is cold."""
    custard = batch_kitchen_make()
    pot = Vessel.objects.create(
        name="Pot", kind="pot", diameter_cm=Decimal(26), height_cm=Decimal(30), owned=3, wall="metal"
    )
    custard.steps.exclude(vessel=None).update(vessel=pot)
    catalog_changed()
    elapsed, likely, slow = planned(240)
    assert slow is None
    assert elapsed >= THICK_MOST * likely - 5
