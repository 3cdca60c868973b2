"""What its own steps have out of the cold for longer than its limit stops like what breaks the rule."""

import csv
import io
from decimal import Decimal

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.amounts import batch_amounts
from catalog.cooling.cycles import rule_of
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.selectors import cold_times
from catalog.cooling.time_used import a_load, time_used, used_up
from catalog.kitchen.models import Kitchen
from catalog.products.models import Product, ProductStep
from catalog.rates.models import Station
from catalog.recipes.models import Recipe, RecipeStep
from orders.documents.agreed import content_agreed
from orders.orders.models import Order
from orders.production.hand_over import hand_overs
from orders.production.labels import label_file
from orders.quotes.cooling.selectors import broken, judge
from orders.quotes.draft.cooling import OutFrom
from orders.quotes.draft.holding_words import holding_words, used_words
from orders.quotes.send.check import send_check
from tests.batch_kitchen import batch_kitchen_make
from tests.factories import EVENT, NOW, draft_make, kitchen_make, line_make, table_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make

pytestmark = pytest.mark.django_db
TART = "custard-tart"
DAYS = f"?first={EVENT.date()}&last={EVENT.date()}"
FILL = ("fill", "Fill", "10")
CHILL = ("chill", "Chill", "120")


def stood_make(*steps: tuple[str, str, str], **profile: object) -> Product:
    """Make the kitchen with a custard tart of these steps alone, each with its minutes."""
    kitchen_make(**profile)
    tart = Product.objects.get(code=TART)
    tart.steps.all().delete()
    for at, (kind, name, minutes) in enumerate(steps):
        ProductStep.objects.create(product=tart, position=at, kind=kind, name=name, minutes=Decimal(minutes))
    catalog_changed()
    return tart


def why() -> list[str]:
    return [one.why for one in broken({TART: 24}, book_current())]


@pytest.mark.parametrize(
    ("steps", "stops"),
    [
        ([FILL, ("rest", "Stand", "720"), CHILL], True),
        ([CHILL, ("rest", "Stand", "1200")], True),
        ([FILL, ("chill", "Chill", "5"), ("rest", "Stand", "720")], True),
        ([FILL, ("rest", "Stand", "120"), CHILL, ("work", "Decorate", "120")], True),
        ([FILL, ("rest", "Stand", "60"), CHILL, ("work", "Decorate", "60")], False),
        ([("rest", "Stand", "720"), FILL, CHILL], False),
    ],
)
def test_the_minutes_out_of_the_cold_are_added_up(steps: list[tuple[str, str, str]], *, stops: bool) -> None:
    stood_make(*steps)
    assert why() == (["time_out_used"] if stops else [])
    assert send_check(draft_make(at=NOW), at=NOW).may_go is not stops


def test_a_rule_without_a_time_asks_about_four_hours() -> None:
    stood_make(FILL, ("rest", "Stand", "720"), CHILL, food_safety=Kitchen.FoodSafety.EU)
    assert not [one for one in rule_of(book_current().kitchen.described).times_out if one.kind != "house"]
    assert why() == ["time_out_used_house"]


def test_the_limit_of_the_house_counts_and_is_named() -> None:
    limit = {"time_out_minutes": 180, "time_out_source": "Our food safety plan, March 2026"}
    stood_make(FILL, CHILL, ("rest", "Stand", "190"), food_safety=Kitchen.FoodSafety.EU, **limit)
    assert why() == ["time_out_used_limit"]
    review = text(signed_in("owner").get(reverse("quote-send", args=[draft_make(at=NOW).pk])))
    assert "and your own limit is 3 h." in review
    assert "Your rule states no time" not in review


def test_nothing_left_of_the_time_stops_too() -> None:
    stood_make(CHILL, ("rest", "Stand", "240"))
    assert why() == ["time_out_used"]


def test_what_the_kitchen_spends_after_the_cold_is_taken_off() -> None:
    stood_make(FILL, CHILL, ("rest", "Stand", "150"))
    order_make()
    order = Order.objects.prefetch_related("lines__product").get()
    sent = next(line for line in content_agreed(order.quote).lines if line.product == TART)
    words = "It is shorter because the work in our kitchen takes 2 h 40 min of the time."
    assert sent.out_minutes == 80
    assert "At most 1 h 20 min out of the cold in all" in sent.holding
    assert words in sent.holding
    page = text(signed_in("kitchen").get(reverse("sheet-handover") + DAYS))
    own = page.split("Custard tart, 10 cm", 2)[2].split("Saffron", 1)[0]
    assert "At most 1 h 20 min out of the cold in all" in own
    assert words in own
    rows = list(csv.DictReader(io.StringIO(label_file([order]).decode("utf-8-sig"))))
    (label,) = (row for row in rows if row["Dessert"] == "Custard tart, 10 cm")
    assert words in label["Holding and serving"]


@pytest.mark.parametrize(
    ("fill", "pack", "left", "profile"),
    [
        ("210", "15", 15, {}),
        ("150", "15", 15, {"food_safety": "eu", "time_out_minutes": 180, "time_out_source": "Our plan, March 2026"}),
    ],
)
def test_what_customers_read_is_the_limit_less_all_that_the_check_counts(
    fill: str, pack: str, left: int, profile: dict[str, object]
) -> None:
    stood_make(("fill", "Fill", fill), CHILL, ("pack", "Pack", pack), **profile)
    assert why() == []
    book = book_current()
    out = cold_times([TART], book)[TART].out
    assert out is not None
    assert out.allowed_minutes == left
    spent = used_words(float(fill) + float(pack))
    assert spent in holding_words(cold_times([TART], book)[TART], OutFrom("pickup"))


def test_nothing_left_is_to_be_kept_cold_until_it_is_served() -> None:
    stood_make(("fill", "Fill", "230"), CHILL, ("pack", "Pack", "15"))
    assert why() == ["time_out_used"]
    cold = cold_times([TART], book_current())[TART]
    assert holding_words(cold, OutFrom("pickup")) == "Keep at 41 °F or colder until it is served."


def test_a_quote_sent_before_has_what_is_left_now() -> None:
    tart = stood_make(FILL, CHILL)
    order = order_make()
    ProductStep.objects.create(product=tart, position=9, kind="rest", name="Stand", minutes=Decimal(180))
    catalog_changed()
    page = text(signed_in("kitchen").get(reverse("sheet-handover") + DAYS))
    own = page.split("Custard tart, 10 cm", 2)[2].split("Saffron", 1)[0]
    assert "At most 50 min out of the cold in all" in own
    assert "At most 4 h" not in own
    order = Order.objects.prefetch_related("lines__product").get(pk=order.pk)
    rows = list(csv.DictReader(io.StringIO(label_file([order]).decode("utf-8-sig"))))
    assert "At most 4 h" not in next(row for row in rows if row["Dessert"].startswith("Custard"))["Holding and serving"]


def test_a_source_answers_it() -> None:
    stood_make(FILL, ("rest", "Stand", "720"))
    source = "Letter of the county laboratory, aw 0.81, May 2026"
    Recipe.objects.update(shelf_stable=True, shelf_stable_source=source)
    catalog_changed()
    assert why() == []


def test_what_is_heated_later_begins_anew() -> None:
    tart = stood_make(FILL, ("rest", "Stand", "720"), ("bake", "Bake", "30"), CHILL)
    tart.steps.filter(kind="bake").update(leaves_c=80)
    catalog_changed()
    mixtures = RecipeMixtures(book_current())
    assert time_used(mixtures.book.product(TART), mixtures).minutes == 0
    tart = mixtures.book.product(TART)
    assert used_up(tart, a_load(tart), mixtures.book) is None


def test_the_papers_say_it() -> None:
    stood_make(FILL, ("rest", "Stand", "720"), CHILL)
    quote = draft_make(at=NOW)
    owner = signed_in("owner")
    review = text(owner.get(reverse("quote-send", args=[quote.pk])))
    assert "have it out of the cold for 12 h 10 min in all (Fill and Stand), and your rule allows 4 h." in review
    procedure = text(owner.get(reverse("procedure")))
    assert "Custard tart, 10 cm: its time out of the cold is used up. Its own steps have it out" in procedure


def used_up_order() -> Order:
    """Return an order of tarts that stand out for too long by a step that was entered later."""
    tart = stood_make(FILL, CHILL)
    order = order_make()
    ProductStep.objects.create(product=tart, position=9, kind="rest", name="Stand", minutes=Decimal(720))
    catalog_changed()
    return Order.objects.prefetch_related("lines__product").get(pk=order.pk)


def test_the_hand_over_says_that_its_time_is_used_up() -> None:
    used_up_order()
    page = text(signed_in("kitchen").get(reverse("sheet-handover") + DAYS))
    own = page.split("Custard tart, 10 cm", 2)[2].split("Saffron", 1)[0]
    assert "Its time out of the cold is used up: its own steps have it out for 12 h 10 min." in own
    assert "At most 4 h" not in own
    assert "Handed over at" not in own


def test_the_label_says_the_same_and_has_no_time_to_serve_by() -> None:
    order = used_up_order()
    rows = list(csv.DictReader(io.StringIO(label_file([order]).decode("utf-8-sig"))))
    (own,) = (row for row in rows if row["Dessert"] == "Custard tart, 10 cm")
    assert (
        "Its time out of the cold is used up: its own steps have it out for 12 h 10 min." in own["Holding and serving"]
    )
    assert "At most 4 h" not in own["Holding and serving"]
    assert own["Serve by"] == ""


def test_what_is_only_stated_to_leave_lukewarm_was_out_of_the_cold_all_the_same() -> None:
    tart = stood_make(FILL, ("rest", "Stand", "200"), ("work", "Decorate", "60"), CHILL)
    tart.steps.filter(kind="rest").update(leaves_c=20)
    catalog_changed()
    mixtures = RecipeMixtures(book_current())
    assert time_used(mixtures.book.product(TART), mixtures).minutes == 270


class TestOrdersSize:
    """What an order takes out of the cold is its own count, not a whole load."""

    def pieces_make(self) -> None:
        """A load of 288, of which each piece is decorated for a minute after the cold."""
        tart = stood_make(FILL, CHILL, ("finish", "Decorate", "0"))
        Product.objects.filter(pk=tart.pk).update(load=288)
        tart.steps.filter(kind="finish").update(minutes=None, hands_each=Decimal(1))
        catalog_changed()

    def test_an_order_of_24_spends_the_minutes_of_24(self) -> None:
        self.pieces_make()
        assert why() == []
        assert [one.why for one in broken({TART: 288}, book_current())] == ["time_out_used"]
        order_make(table=table_make(lines=(line_make(TART, 24),), extras=()))
        order = Order.objects.prefetch_related("lines__product").get()
        (sent,) = content_agreed(order.quote).lines
        left = 240 - 10 - 24
        assert sent.out_minutes == left
        (row,) = hand_overs([order])
        (own,) = (line for line in row.lines if line.line.product == TART)
        assert (own.used_min, own.line.out_minutes) == (None, left)
        rows = list(csv.DictReader(io.StringIO(label_file([order]).decode("utf-8-sig"))))
        (label,) = (row for row in rows if row["Dessert"] == "Custard tart, 10 cm")
        assert "At most 3 h 26 min out of the cold in all" in label["Holding and serving"]

    def test_two_tables_of_one_judgement_are_each_at_their_size(self) -> None:
        self.pieces_make()
        found = judge({"few": {TART: 24}, "many": {TART: 288}}, book_current())
        assert [bool(found[key].broken) for key in ("few", "many")] == [False, True]


class TestItsBatches:
    """What a batch used since it was cold is no longer there for the product it goes into."""

    def tart_of(self, *after: tuple[str, str, dict[str, object]]) -> None:
        """A tart of 30 + 6 min, of a custard that is chilled and then goes through these steps."""
        custard = batch_kitchen_make(chill_min="1200", depth_cm=Decimal(2))
        for at, (kind, name, columns) in enumerate(after, 10):
            RecipeStep.objects.create(recipe=custard, position=at, kind=kind, name=name, **columns)
        tart = Product.objects.get(code=TART)
        tart.steps.all().delete()
        for at, (kind, name, minutes) in enumerate([("fill", "Fill", "30"), CHILL, ("pack", "Pack", "6")]):
            ProductStep.objects.create(product=tart, position=at, kind=kind, name=name, minutes=Decimal(minutes))
        catalog_changed()

    def left(self, units: int = 24) -> float | None:
        out = cold_times({TART: units}, book_current())[TART].out
        assert out is not None
        return out.allowed_minutes

    @pytest.mark.parametrize("back", [False, True])
    def test_it_is_taken_off_also_after_a_chill(self, *, back: bool) -> None:
        self.tart_of(("mix", "Fold in", {"minutes": Decimal(100)}))
        if back:
            custard = Recipe.objects.get(code="custard")
            station, minutes = Station.objects.get(code="cold-room"), Decimal(60)
            custard.steps.create(position=20, kind="chill", name="Back", station=station, minutes=minutes)
            catalog_changed()
        assert why() == []
        assert self.left() == 240 - 100 - 36

    def test_together_over_the_limit_it_stops(self) -> None:
        self.tart_of(("mix", "Fold in", {"minutes": Decimal(210)}))
        assert why() == ["time_out_used"]
        review = text(signed_in("owner").get(reverse("quote-send", args=[draft_make(at=NOW).pk])))
        name = Recipe.objects.get(code="custard").name
        assert f"for 4 h 6 min in all ({name}: Fold in, Fill and Pack)" in review

    def test_it_is_that_of_the_batches_own_size(self) -> None:
        self.tart_of(("mix", "Fold in", {"hands_each": Decimal(10)}))
        book = book_current()
        for units in (24, 48):
            grams = dict(batch_amounts({TART: units}, book))["custard"]
            assert self.left(units) == pytest.approx(240 - 36 - float(grams) / 100, abs=1)

    def test_before_it_was_cold_nothing_counts(self) -> None:
        self.tart_of()
        Recipe.objects.get(code="custard").steps.create(position=0, kind="mix", name="Stir", minutes=Decimal(200))
        catalog_changed()
        assert self.left() == 240 - 36
