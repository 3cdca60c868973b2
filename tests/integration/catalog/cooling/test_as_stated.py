"""A stay in the cold that ends too soon is judged as stated, and what freezes first stops as a broken rule does."""

from decimal import Decimal
from fractions import Fraction

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.batch_reports import BatchCold, batch_colds
from catalog.cooling.missing_presenters import missing_sentence, note_sentence
from catalog.cooling.selectors import cooled
from catalog.cooling.stages import CoolingCycle
from catalog.products.models import Product, ProductStep
from catalog.rates.models import Station
from catalog.recipes.models import RecipeStep
from costing.chilling import trial
from orders.quotes.cooling.selectors import broken
from orders.quotes.send.services import quote_send
from orders.records.errors import CoolingRuleBroken
from orders.records.states import QuoteStatus
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import cooling_kitchen_make, override_make
from tests.factories import BY, NOW
from tests.integration.catalog.recipes.test_recipes import page_text
from tests.integration.orders.quotes.cooling.drafts import TART, drafted
from tests.integration.orders.register.test_register import signed_in
from tests.refusals import refused
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db


def frozen_batch(minutes: str, *, bench: str | None = None) -> BatchCold:
    """A custard at 95 °C that goes into air of -18 °C, and on the bench after it."""
    recipe = batch_kitchen_make(leaves_c=Decimal(95), chill_min=minutes, profile={"height_cm": "1.2"})
    freezer = Station.objects.create(code="freezer", name="Freezer", kind="freezer", air_c=Decimal(-18))
    recipe.steps.filter(kind="chill").update(kind="freeze", station=freezer)
    if bench is not None:
        RecipeStep.objects.create(recipe=recipe, position=10, name="Bench", kind="rest", minutes=Decimal(bench))
    catalog_changed()
    (one,) = batch_colds([("custard", Fraction(2400))], book_current())
    return one


def test_a_minute_in_the_freezer_and_hours_on_the_bench_stop_by_name() -> None:
    one = frozen_batch("1", bench="360")
    assert one.missing is not None
    assert one.missing.reason.code == "cold_too_short"
    assert missing_sentence(one.missing).startswith("“Set in the cold” ends after 1 min, and at the slowest it is cold")
    assert "It then stands in the room from “Bench” on, for 6 h" in missing_sentence(one.missing)
    quote = drafted()
    with refused(CoolingRuleBroken, match="Baked custard"):
        quote_send(quote_id=quote.pk, by=BY, at=NOW)


def test_what_cannot_be_judged_because_it_freezes_first_stops_until_it_is_recorded() -> None:
    one = frozen_batch("600")
    assert [each.trial.verdict for each in one.times] == ["freezes"]
    found = [each for each in broken({TART: 24}, book_current()) if each.name == "Baked custard"]
    assert [(each.why, each.never) for each in found] == [("freezes", False)]
    quote = drafted()
    shown = page_text(signed_in("owner").get(reverse("quote-send", args=[quote.pk])))
    assert "the outside freezes before the core is cold, so the rule" in shown
    with refused(CoolingRuleBroken, match="Baked custard"):
        quote_send(quote_id=quote.pk, by=BY, at=NOW)
    override_make(quote)
    assert quote_send_seen(quote_id=quote.pk, by=BY, at=NOW).status == QuoteStatus.SENT


def test_a_product_whose_rim_freezes_first_stops_too() -> None:
    cooling_kitchen_make(diameter_cm="25", height_cm="7.5", leaves_c="68", air_c="-18")
    found = [each for each in broken({TART: 24}, book_current()) if each.item.kind == "product"]
    assert [each.why for each in found] == ["freezes"]


def decorated(bench: str, *, cold: str = "30", again: str | None = "720", kind: str = "finish") -> Product:
    """A tart that leaves the oven at 80 °C, chills for some minutes, is decorated for hours, and chills again."""
    tart = cooling_kitchen_make(diameter_cm="20", height_cm="5", air_c="1")
    tart.steps.filter(kind="rest").delete()
    chilled = tart.steps.get(kind="chill")
    after = tart.steps.filter(position__gt=chilled.position)
    after.delete()
    ProductStep.objects.filter(pk=chilled.pk).update(minutes=Decimal(cold), wait_min=None)
    add = ProductStep.objects.create
    add(product=tart, position=50, name="Decorate on the bench", kind=kind, minutes=Decimal(bench))
    if again is not None:
        columns = {"kind": "chill", "station": chilled.station, "minutes": Decimal(again)}
        add(product=tart, position=51, name="Back in the cold", **columns)
    catalog_changed()
    return tart


def cycle() -> CoolingCycle:
    found = cooled([TART], book_current())[TART]
    assert found.missing is None, found.missing
    (one,) = found.cycles
    return one


def test_hours_on_the_bench_after_too_short_a_stay_are_judged() -> None:
    tart = decorated("300")
    one = cycle()
    assert [str(stage.step) for stage in one.stages][1:] == ["Decorate on the bench", "Back in the cold"]
    assert one.stages[0].minutes == 30
    assert trial(one.plan).verdict == "not kept"
    assert "ends after the stated 30 min" in " ".join(map(note_sentence, one.notes))
    page = page_text(signed_in("owner").get(reverse("product-cooling", args=[tart.pk])))
    assert "Meets the rule." not in page
    assert "Does not meet the rule." in page
    # The air is cold enough: it leaves it too soon.
    assert "is too near" not in page
    assert "ends after 30 min, before it is cold, and then it stands in the room. Leave it there until" in page


def test_without_a_stay_in_the_cold_after_the_bench_it_is_named_and_stops() -> None:
    decorated("300", again=None)
    missing = cooled([TART], book_current())[TART].missing
    assert missing is not None
    assert missing.reason.code == "cold_too_short"
    assert [one.why for one in broken({TART: 24}, book_current()) if one.item.kind == "product"] == ["cold_too_short"]


def test_a_stay_long_enough_is_judged_alone() -> None:
    decorated("300", cold="1440")
    assert len(cycle().stages) == 1


def test_packing_after_the_last_stay_changes_nothing() -> None:
    decorated("20", again=None)
    assert len(cycle().stages) == 1


def test_a_batch_is_judged_through_the_bench_too() -> None:
    recipe = batch_kitchen_make(chill_min="30", depth_cm=Decimal(2))
    cold = Station.objects.get(code="cold-room")
    RecipeStep.objects.create(recipe=recipe, position=10, name="Bench", kind="rest", minutes=Decimal(300))
    RecipeStep.objects.create(
        recipe=recipe, position=11, name="Again", kind="chill", minutes=Decimal(600), station=cold
    )
    catalog_changed()
    (one,) = batch_colds([("custard", Fraction(2400))], book_current())
    (found,) = one.times
    assert (len(found.cycle.stages), found.trial.verdict) == (3, "not kept")


def restated(product: Product, name: str, leaves_c: str) -> None:
    product.steps.filter(name=name).update(leaves_c=Decimal(leaves_c))
    catalog_changed()


@pytest.mark.parametrize("leaves_c", ["45", "20", "3"])
def test_a_temperature_stated_after_too_short_a_stay_does_not_hide_it(leaves_c: str) -> None:
    """The stay counted as one until it is cold, and the bench as the start of another cooling, with a new clock."""
    tart = decorated("300")
    restated(tart, "Decorate on the bench", leaves_c)
    missing = cooled([TART], book_current())[TART].missing
    assert missing is not None
    assert missing.reason.code == "short_before_restated"
    words = missing_sentence(missing)
    assert "ends after 30 min, and at the slowest it is cold only after" in words
    assert "Then “Decorate on the bench” states" in words
    assert [one.why for one in broken({TART: 24}, book_current()) if one.item.kind == "product"] == [
        "short_before_restated"
    ]
    page = page_text(signed_in("owner").get(reverse("product-cooling", args=[tart.pk])))
    assert "as if its cooling began there" in page


def test_a_temperature_stated_after_a_stay_that_is_long_enough_is_taken() -> None:
    restated(decorated("300", cold="1440"), "Decorate on the bench", "15")
    found = cooled([TART], book_current())[TART]
    assert found.missing is None
    assert len(found.cycles) == 2


def test_packing_that_is_stated_to_be_cold_says_what_the_stay_before_it_does() -> None:
    restated(decorated("20"), "Decorate on the bench", "3")
    assert cooled([TART], book_current())[TART].missing is None


def test_what_is_heated_again_after_a_short_stay_cools_anew() -> None:
    tart = decorated("40", kind="bake")
    restated(tart, "Decorate on the bench", "80")
    found = cooled([TART], book_current())[TART]
    assert found.missing is None or found.missing.reason.code != "short_before_restated"


@pytest.mark.parametrize(("minutes", "called"), [("30", True), ("1440", False)])
def test_a_stay_that_cannot_reach_what_it_states_is_named_and_stops(minutes: str, *, called: bool) -> None:
    tart = decorated("300", cold=minutes)
    chilled = tart.steps.filter(kind="chill").order_by("position")[0]
    restated(tart, chilled.name, "4")
    missing = cooled([TART], book_current())[TART].missing
    found = "" if missing is None else missing.reason.code
    assert (found == "chill_not_reached") == called
    if missing is not None and called:
        assert "after 30 min, and at the fastest that takes" in missing_sentence(missing)
        assert [one.why for one in broken({TART: 24}, book_current()) if one.item.kind == "product"] == [found]


def test_a_batch_does_not_hide_it_either() -> None:
    recipe = batch_kitchen_make(chill_min="30", depth_cm=Decimal(2))
    cold = Station.objects.get(code="cold-room")
    RecipeStep.objects.create(
        recipe=recipe, position=10, name="Bench", kind="rest", minutes=Decimal(300), leaves_c=Decimal(20)
    )
    RecipeStep.objects.create(
        recipe=recipe, position=11, name="Again", kind="chill", minutes=Decimal(600), station=cold
    )
    catalog_changed()
    (one,) = batch_colds([("custard", Fraction(2400))], book_current())
    assert one.missing is not None
    assert one.missing.reason.code == "short_before_restated"
