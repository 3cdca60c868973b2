"""What is proposed for a batch that breaks its rule: it keeps it by the engine, and a kitchen can do it."""

from decimal import Decimal
from fractions import Fraction

import pytest

from catalog.book.selectors import book_current
from catalog.cooling.batch_dividing import dividing
from catalog.cooling.batch_reports import batch_cooled, batch_report
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.remedies import Remedies
from catalog.cooling.remedy_presenters import INSTEAD, remedies_shown
from costing.chilling import trial
from tests.batch_kitchen import batch_kitchen_make

pytestmark = pytest.mark.django_db


def remedies(grams: int) -> Remedies:
    """Return what is proposed for an amount of the custard."""
    (one,) = batch_report("custard", Fraction(grams)).cycles
    assert one.remedies is not None
    return one.remedies


@pytest.mark.parametrize("ice_bath", [False, True])
@pytest.mark.parametrize("grams", [2200, 2400, 6000, 20000])
def test_it_keeps_the_rule_at_the_slow_end_too_and_a_kitchen_can_do_it(grams: int, ice_bath: bool) -> None:
    batch_kitchen_make(ice_bath=ice_bath)
    helped = 0
    for one in remedies(grams).tried:
        fill, params = one.trial.plan.fill, one.change.params
        assert fill is not None
        again = trial(one.trial.plan)
        assert one.helps == all(leg.likely.met and leg.slow.met for leg in again.legs)
        helped += one.helps
        if one.change.code in ("divided", "divided_more", "in_vessel", "in_vessels"):
            assert 10 <= fill.height_mm <= 0.9 * fill.vessel.depth_mm * (1 + 1e-6)
            owned = {"Tub": 4, "Hotel pan": 3}[params["vessel"]]
            assert (fill.count > owned) == (one.change.code == "divided_more")
        if one.change.code.startswith("bath"):
            assert params["vessel"] == "Tub"
            assert params["count"] == fill.count
    assert helped


def test_smaller_batches_are_proposed_and_tried_at_their_size() -> None:
    batch_kitchen_make(depth_cm=None, vessels=1)
    found = [one for one in remedies(2400).tried if one.change.code == "batches"]
    (one,) = found
    count = one.change.params["count"]
    book = book_current()
    each = batch_cooled(book.recipe("custard"), Fraction(2400) / count, RecipeMixtures(book)).cycles
    assert [trial(cycle.plan).verdict for cycle in each] == ["kept"]
    assert one.helps
    (words, *_) = [row.change for row in remedies_shown(remedies(2400)).tried if "batches" in row.change]
    assert words.startswith(f"Made in {count} batches of ")
    assert words.endswith("one after the other, each in 1 × Tub")


def test_a_batch_that_is_divided_is_tried_with_the_ice_bath_it_then_needs() -> None:
    """An ice bath that ends at 70 °F ends sooner for what stands lower."""
    batch_kitchen_make(ice_bath=True, bath_to_c=Decimal(21))
    (one,) = batch_report("custard", Fraction(2400)).cycles
    assert one.remedies is not None
    (divided,) = (each for each in one.remedies.tried if each.change.code.startswith("divided"))
    before, after = (plan.stages[0].minutes for plan in (one.figures.cycle.plan, divided.trial.plan))
    assert after < before


def test_what_keeps_it_as_likely_only_is_no_way_to_divide_it() -> None:
    batch_kitchen_make()
    book = book_current()
    recipe, ways = book.recipe("custard"), dividing("custard", Fraction(2400), book)
    assert ways.batches is not None
    fewer = batch_cooled(recipe, Fraction(2400) / (ways.batches - 1), RecipeMixtures(book)).cycles
    assert {trial(cycle.plan).verdict for cycle in fewer} <= {"not kept", "likely"}
    enough = batch_cooled(recipe, Fraction(2400) / ways.batches, RecipeMixtures(book)).cycles
    assert {trial(cycle.plan).verdict for cycle in enough} == {"kept"}


def test_where_none_does_it_is_said_with_what_is_left() -> None:
    batch_kitchen_make()
    tried = remedies(2400).tried
    unsure = Remedies(tuple(one for one in tried if not one.helps), ())
    assert not unsure.hopeless or not any(one.may_help for one in unsure.tried)
    none = Remedies(tuple(one for one in tried if not one.may_help), ())
    assert none.hopeless
    assert not none.unsure
    assert remedies_shown(none).instead == INSTEAD
    for words in ("smaller batch", "ice bath", "blast chiller", "measured with a probe"):
        assert words in INSTEAD.replace(" you measured", " measured")
