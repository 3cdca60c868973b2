"""What is proposed for a batch that breaks its rule: it keeps it by the engine, and a kitchen can do it."""

from decimal import Decimal
from fractions import Fraction
from math import ceil

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.batch_dividing import dividing
from catalog.cooling.batch_reports import batch_cooled, batch_report
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.remedies import Remedies
from catalog.cooling.remedy_presenters import INSTEAD, remedies_shown
from catalog.cooling.words import slow_time
from catalog.vessels.models import Vessel
from catalog.web import display
from costing.chilling import trial
from tests.batch_kitchen import batch_kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in, text

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
        keeps = all(leg.likely.met and leg.slow.met for leg in again.legs)
        assert one.helps == (keeps and one.short is None)
        helped += one.helps
        if one.change.code in ("divided", "in_vessel", "in_vessels"):
            assert 10 <= fill.height_mm <= 0.9 * fill.vessel.depth_mm * (1 + 1e-6)
            owned = {"Tub": 4, "Hotel pan": 3}[params["vessel"]]
            assert (fill.count > owned) == (one.short is not None)
        if one.change.code.startswith("bath"):
            assert params["vessel"] == "Tub"
            assert params["count"] == fill.count
    # Of so much, only more vessels than there are would help.
    assert helped or grams == 20000


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
    # Of four tubs, all stand at once; it takes as long as one batch does.
    slow = max(trial(cycle.plan).cold_slow or 0 for cycle in each)
    assert count <= 4
    assert one.change.params["minutes"] == slow
    assert f"each in 1 × Tub, about {display.duration(slow)} until the last is cold at the slowest" in words


def test_batches_that_wait_for_their_vessels_take_as_long_as_all_of_them() -> None:
    batch_kitchen_make(depth_cm=None, vessels=1)
    Vessel.objects.filter(name="Tub").update(owned=2)
    catalog_changed()
    (one,) = [one for one in remedies(2400).tried if one.change.code == "batches"]
    turns = ceil(one.change.params["count"] / 2)
    assert turns > 1
    assert one.change.params["minutes"] == pytest.approx(turns * (one.trial.cold_slow or 0))


def test_what_takes_more_vessels_than_there_are_is_no_remedy_and_says_so() -> None:
    batch_kitchen_make(vessels=1)
    Vessel.objects.filter(name="Tub").update(owned=1)
    catalog_changed()
    (one,) = [one for one in remedies(2400).tried if one.change.code == "divided"]
    count = one.change.params["count"]
    assert (one.verdict, one.helps, one.may_help) == ("kept", False, False)
    (words,) = [row.outcome for row in remedies_shown(remedies(2400)).tried if row.change.startswith("Divided")]
    assert words == f"not possible: needs {count} × Tub, and the kitchen has 1"


def test_where_nobody_entered_how_many_there_are_nothing_is_concluded() -> None:
    batch_kitchen_make(vessels=1)
    Vessel.objects.filter(name="Tub").update(owned=None)
    catalog_changed()
    (one,) = [one for one in remedies(2400).tried if one.change.code == "divided"]
    assert one.helps
    assert dividing("custard", Fraction(2400), book_current()).vessels is None


def test_nothing_is_stirred_less_often_than_it_is_now() -> None:
    batch_kitchen_make(ice_bath=True, stir_min=Decimal(5), vessels=1)
    baths = [one.change for one in remedies(2400).tried if one.change.code.startswith("bath")]
    assert {change.params.get("every") for change in baths} <= {5.0}


def test_an_ice_bath_says_how_much_ice_it_takes() -> None:
    batch_kitchen_make(vessels=1)
    changes = [row.change for row in remedies_shown(remedies(2400)).tried if "ice bath" in row.change]
    assert changes
    assert all(" of ice or more" in change for change in changes)


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


def test_a_lid_is_taken_off_before_anything_else_and_what_that_brings_is_said_though_not_enough() -> None:
    """US Food Code 2022, 3-501.15(B)(2): loosely covered, or uncovered where nothing falls in, while it cools."""
    batch_kitchen_make(depth_cm=None, vessels=3, covered=True)
    offered = {grams: remedies(grams).tried[0] for grams in range(1200, 3400, 400)}
    assert {one.change.code for one in offered.values()} == {"lid_off"}
    assert len({one.verdict for one in offered.values()}) > 1
    for one in offered.values():
        fill = one.trial.plan.fill
        assert fill is not None
        assert not fill.vessel.lid
        assert trial(one.trial.plan).verdict == one.verdict
    grams = next(iter(offered))
    (words,) = [row.change for row in remedies_shown(remedies(grams)).tried if "lid" in row.change]
    assert words.startswith("Take the lid off while it cools, where nothing can drip or fall into it")


def test_without_a_lid_none_is_taken_off() -> None:
    batch_kitchen_make(depth_cm=None, vessels=3)
    assert all(one.change.code != "lid_off" for one in remedies(2000).tried)


def test_a_lid_is_in_what_the_estimate_is_based_on_and_stays_on_in_other_vessels() -> None:
    custard = batch_kitchen_make(covered=True, chill_min="600")
    page = text(signed_in("owner").get(reverse("recipe-cooling", args=[custard.pk])))
    assert "covered by its lid" in page
    assert "uncovered" not in page.split("What the estimate is based on", 1)[1]
    assert "Each of these keeps the lid on while it cools" in page


def test_batches_that_take_longer_than_the_first_of_them_keeps_are_no_way() -> None:
    custard = batch_kitchen_make(depth_cm=None, vessels=1)
    found = dividing("custard", Fraction(2400), book_current())
    assert found.batches is not None
    assert found.minutes <= 1440
    last = custard.steps.order_by("position").last()
    assert last is not None
    last.hold_max = Decimal(int(found.minutes) - 1)
    last.save()
    catalog_changed()
    assert dividing("custard", Fraction(2400), book_current()).batches is None
    assert not [one for one in remedies(2400).tried if one.change.code == "batches"]


def test_a_time_at_the_slow_end_is_rounded_up_wherever_it_stands() -> None:
    batch_kitchen_make(depth_cm=None, vessels=1)
    found = remedies(2400)
    for one, shown in zip(found.tried, remedies_shown(found).tried, strict=True):
        times = {slow_time(leg.slow.minutes) for leg in one.trial.legs}
        assert any(f", {time} of " in shown.by_rule for time in times)
