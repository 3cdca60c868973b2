"""What holds milk or egg, and of which nothing says how it is kept, is kept cold by every paper."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.cold_keeping import held_in_the_cold
from catalog.cooling.keeping import held_cold
from catalog.cooling.selectors import cold_times
from catalog.products.models import Product, ProductStep
from catalog.rates.models import Station
from catalog.recipes.models import Recipe, RecipeStep, Step
from orders.documents.content import content_read
from orders.quotes.draft.holding_words import unrepeated
from orders.quotes.send.check import send_check
from tests.cooling_kitchen import cooling_kitchen_make, override_make, sent_measured_make
from tests.factories import BY, EVENT, NOW, draft_make, kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make
from tests.integration.orders.cooling_log.measuring import START, TART, read, record
from tests.integration.orders.production.test_label_data import rows as labels
from tests.starting import order_start

pytestmark = pytest.mark.django_db
NAME = "Custard tart, 10 cm"
KEEP = "Keep at 41 °F or colder until it is served."
DAYS = f"?first={EVENT.date()}&last={EVENT.date()}"


def unkept_make(**profile: object) -> Product:
    """Make the kitchen with a tart that leaves the oven hot: nothing chills it, and nothing says how it is kept."""
    product = cooling_kitchen_make(**profile)  # type: ignore[arg-type]  # columns of the kitchen
    product.steps.exclude(kind=Step.Kind.BAKE).delete()
    catalog_changed()
    return product


def of_tart(page: str) -> str:
    """Return what a sheet says after the tart's name."""
    return page.split(NAME, 1)[1][:600]


def cell_of_tart(page: str) -> str:
    """Return its own row of the hand-over list alone."""
    return page.split(NAME, 2)[2].split("Saffron", 1)[0]


def sheet(client: Client, name: str) -> str:
    return text(client.get(reverse(name) + DAYS))


class TestReview:
    def test_a_temperature_and_nothing_in_the_cold_is_no_word_on_how_it_is_kept(self) -> None:
        unkept_make()
        quote = draft_make(at=NOW)
        override_make(quote)
        assert NAME in [one.name for one in send_check(quote, at=NOW).unsaid]

    def test_a_stay_in_the_cold_at_the_end_is_one_and_before_other_steps_with_its_hold(self) -> None:
        product = cooling_kitchen_make()
        product.steps.update(leaves_c=None, hold_max=None)
        catalog_changed()
        book, code = book_current(), product.code
        last = book.product(code).steps[-1]
        chilled = replace(book.product(code), steps=tuple(s for s in book.product(code).steps if s.kind == "chill"))
        assert held_in_the_cold(chilled, book)
        after = replace(last, kind="work", station=None, hold_max=None)
        out = replace(chilled, steps=(*chilled.steps, after), keeps_hours=None)
        assert not held_in_the_cold(out, book)
        assert held_in_the_cold(replace(out, keeps_hours=Fraction(48)), book)
        assert not held_in_the_cold(replace(out, steps=(after,), keeps_hours=Fraction(48)), book)
        ProductStep.objects.create(
            product=product, name="Unmold", kind=Step.Kind.WORK, position=product.steps.count() + 1
        )
        Product.objects.filter(pk=product.pk).update(keeps_hours=None)
        catalog_changed()
        quote = draft_make(at=NOW)
        override_make(quote)
        assert NAME in [one.name for one in send_check(quote, at=NOW).unsaid]
        ProductStep.objects.filter(product=product, kind=Step.Kind.CHILL).update(hold_max=Decimal(2880))
        catalog_changed()
        assert NAME not in [one.name for one in send_check(quote, at=NOW).unsaid]


class TestPapers:
    def test_the_quote_says_to_keep_it_cold(self) -> None:
        unkept_make()
        lines = {line.product: line for line in content_read(sent_measured_make(pdf=False).content).lines}
        assert lines[TART].holding == KEEP

    def test_the_kitchens_degrees_and_its_rule_count(self) -> None:
        unkept_make(food_safety="eu", degrees="C")
        lines = {line.product: line for line in content_read(sent_measured_make(pdf=False).content).lines}
        assert lines[TART].holding.startswith("Keep at ")
        assert lines[TART].holding.endswith(" °C or colder until it is served.")

    def test_words_of_the_owner_and_a_source_stand_before_it(self) -> None:
        unkept_make()
        assert TART in held_cold([TART], book_current())
        Product.objects.filter(code=TART).update(holding="In the shade.")
        catalog_changed()
        assert TART in held_cold([TART], book_current())
        Product.objects.filter(code=TART).update(holding="Im Kühlschrank aufbewahren.")
        catalog_changed()
        assert held_cold([TART], book_current()) == {}
        Product.objects.filter(code=TART).update(holding="")
        Recipe.objects.update(shelf_stable=True, shelf_stable_source="Alder laboratory, report 7 of 2026")
        catalog_changed()
        assert held_cold([TART], book_current()) == {}

    def test_sheets_and_labels_say_it_also_for_what_was_sent_before(self) -> None:
        unkept_make()
        Recipe.objects.update(shelf_stable=True, shelf_stable_source="Alder laboratory, report 7 of 2026")
        catalog_changed()
        order_make()
        Recipe.objects.update(shelf_stable=False)
        catalog_changed()
        cook = signed_in("kitchen")
        assert KEEP in of_tart(sheet(cook, "sheet-handover"))
        assert "At most 4 h" not in cell_of_tart(sheet(cook, "sheet-handover"))
        assert KEEP in of_tart(sheet(cook, "sheet-cold"))
        cook.logout()
        User.objects.all().delete()
        label = labels()[NAME]
        assert label["Holding and serving"] == KEEP
        assert label["Serve by"] == ""

    def test_what_the_own_text_says_is_not_said_twice(self) -> None:
        cooling_kitchen_make()
        Product.objects.filter(code=TART).update(holding="Keep at 41 °F or colder.")
        catalog_changed()
        order_make()
        assert cell_of_tart(sheet(signed_in("kitchen"), "sheet-handover")).count("or colder") == 1
        User.objects.all().delete()
        assert labels()[NAME]["Holding and serving"].count("or colder") == 1

    def test_what_was_sent_before_in_shorter_words_is_not_said_twice(self) -> None:
        assert unrepeated("Keep at 41 °F or colder.\nIn the shade.", KEEP) == "In the shade."

    def test_a_measurement_is_no_way_of_keeping(self) -> None:
        unkept_make()
        order = order_make()
        order_start(order_id=order.pk, by=BY, at=START)
        record(order, read(2, 65), read(6, 40), part=0, made_from=True)
        page = of_tart(sheet(signed_in("kitchen"), "sheet-handover"))
        assert "Measured: " in page
        assert KEEP in page


class TestFilledCold:
    """What is filled with something out of the cold has the hours of the rule, the same on every paper."""

    def filled(self) -> None:
        kitchen_make()
        Product.objects.update(holding="", keeps_hours=None)
        ProductStep.objects.filter(product__code=TART).exclude(kind=Step.Kind.WORK).delete()
        ProductStep.objects.filter(product__code=TART).update(leaves_c=None, kind=Step.Kind.WORK)
        cold = Station.objects.get(code="cold-room")
        RecipeStep.objects.create(
            recipe=Recipe.objects.get(code="custard"),
            position=90,
            kind=Step.Kind.CHILL,
            name="Chill",
            station=cold,
            minutes=Decimal(600),
        )
        catalog_changed()

    def test_the_customer_and_the_sheets_read_one_count(self) -> None:
        self.filled()
        found = cold_times([TART], book_current())[TART]
        assert found.out is not None
        order = order_make()
        sent = next(line for line in content_read(order.quote.content).lines if line.product == TART)
        assert sent.out_minutes == found.out.allowed_minutes
        assert "until it is served" not in sent.holding
        assert "out of the cold in all" in sent.holding
        cook = signed_in("kitchen")
        for name in ("sheet-cold", "sheet-handover"):
            page = sheet(cook, name)
            assert sent.holding in page, name
            assert f"{NAME} {KEEP}" not in page, name

    def test_what_is_heated_after_that_has_none(self) -> None:
        self.filled()
        tart = Product.objects.get(code=TART)
        ProductStep.objects.create(product=tart, name="Set", kind=Step.Kind.BAKE, position=90, minutes=Decimal(20))
        catalog_changed()
        assert TART not in cold_times([TART], book_current())

    def test_what_nothing_chills_is_named_at_sending(self) -> None:
        self.filled()
        RecipeStep.objects.filter(name="Chill").delete()
        catalog_changed()
        quote = draft_make(at=NOW)
        override_make(quote)
        assert NAME in [one.name for one in send_check(quote, at=NOW).unsaid]


def test_a_pickups_hand_over_has_room_for_when_to_throw_it_away() -> None:
    cooling_kitchen_make()
    order_make(hand_over="pickup", place="", km=None, minutes=None, setup_minutes=None, crew=0)
    page = of_tart(sheet(signed_in("kitchen"), "sheet-handover"))
    assert "Handed over at ________: throw away before ________" in page


def test_a_label_has_when_to_serve_it_by_from_the_orders_plan() -> None:
    cooling_kitchen_make()
    order_make()
    assert labels()[NAME]["Serve by"] == "Saturday, February 6, 2027, 6:15 PM"
