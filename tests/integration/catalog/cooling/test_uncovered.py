"""A covered dessert that breaks its rule is left uncovered while it cools, where that is enough."""

from decimal import Decimal

import pytest

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.remedies import Remedies, remedies_for
from catalog.cooling.remedy_presenters import remedies_shown
from catalog.cooling.selectors import cooled
from catalog.products.models import Product
from costing.chilling import trial
from tests.cooling_kitchen import DEEP, cooling_kitchen_make

pytestmark = pytest.mark.django_db
TART = "custard-tart"


def remedies(height_cm: str, *, covered: bool = True) -> tuple[str, Remedies]:
    """Return the verdict of the tart at a height, and what would help."""
    Product.objects.filter(code=TART).update(fill_height_cm=Decimal(height_cm), covered=covered)
    catalog_changed()
    (cycle,) = cooled([TART], book_current())[TART].cycles
    return trial(cycle.plan).verdict, remedies_for(cycle, book_current().product(TART), ())


def test_it_is_proposed_where_it_keeps_the_rule_and_only_there() -> None:
    cooling_kitchen_make(**DEEP)
    offered = {}
    for height in ("2.0", "2.4", "2.8", "3.2", "3.6", "4.0", "7.5"):
        verdict, found = remedies(height)
        each = [one for one in found.tried if one.change.code == "uncovered"]
        if verdict != "kept" and each:
            offered[height] = found
        _, bare = remedies(height, covered=False)
        assert all(one.change.code != "uncovered" for one in bare.tried)
    assert offered
    assert "7.5" not in offered
    for height, found in offered.items():
        verdict, _ = remedies(height, covered=False)
        (one,) = (one for one in found.tried if one.change.code == "uncovered")
        assert one.verdict == verdict
        words = [row.change for row in remedies_shown(found).tried]
        assert any(row.startswith("Uncovered while it cools, where nothing can drip or fall on it") for row in words)
