"""From rows to cooling: what a product consists of, the stages its steps make, and what is missing."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import given
from hypothesis import strategies as st

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.missing_presenters import missing_sentence, note_sentence
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.selectors import Cooled, ProductCold, cold_times, cooled
from catalog.cooling.stages import CoolingCycle
from catalog.kitchen.models import Kitchen
from catalog.molds.models import Mold
from catalog.pantry.models import Ingredient, Part
from catalog.products.models import Product, ProductStep
from catalog.rates.models import Station
from catalog.recipes.models import Recipe, Step
from costing.chilling import AIRS, AMBIENT, COOKED, Block, Cylinder, Slab
from tests.cooling_kitchen import cooling_kitchen_make

pytestmark = pytest.mark.django_db

TART = "custard-tart"


def found() -> Cooled:
    """Work the tart out as it stands."""
    return cooled([TART], book_current())[TART]


def cycle_of(one: Cooled) -> CoolingCycle:
    """Return its only cooling cycle."""
    assert one.missing is None, one.missing
    (cycle,) = one.cycles
    return cycle


def missing() -> str:
    """Return what is said to be missing."""
    one = found()
    assert one.missing is not None
    assert one.asked
    return missing_sentence(one.missing)


def changed(model: type, /, *, where: dict[str, object] | None = None, **columns: object) -> None:
    """Change rows behind the services' back, and let the catalog know."""
    model.objects.filter(**(where or {})).update(**columns)  # type: ignore[attr-defined]  # every model has objects
    catalog_changed()


class TestWhatItConsistsOf:
    def test_a_recipe_is_its_ingredients_by_weight_less_the_water_it_loses(self) -> None:
        cooling_kitchen_make()
        changed(Recipe, where={"code": "quince"}, loss=Decimal("0.2"))
        book = book_current()
        mixture = RecipeMixtures(book).mixture("quince")
        # 5 lb of quince as pears (USDA SR28 09252: 83.96 % water) and 1 lb of sugar, a fifth of it boiled away.
        water = (5 * 83.96 + 0.02) / 6
        assert mixture.percent["water"] == pytest.approx((water - 20) / 80 * 100, rel=0.01)
        assert mixture.unknown == ()

    def test_trimmings_leave_it_as_it_is(self) -> None:
        cooling_kitchen_make()
        wet = RecipeMixtures(book_current()).mixture("paste").percent["water"]
        changed(Recipe, where={"code": "paste"}, loss_of=Recipe.LossOf.ALL)
        assert RecipeMixtures(book_current()).mixture("paste").percent["water"] > wet

    def test_a_stated_composition_stands_before_the_table(self) -> None:
        cooling_kitchen_make()
        before = RecipeMixtures(book_current()).mixture("custard").percent["fat"]
        lean = {"water": 88, "protein": 3, "fat": 3, "carb": 5, "fibre": 0, "ash": 1}
        changed(Ingredient, where={"code": "cream"}, composition=lean)
        assert RecipeMixtures(book_current()).mixture("custard").percent["fat"] < before / 2

    def test_a_part_has_a_row_of_its_own(self) -> None:
        cooling_kitchen_make()
        egg = Ingredient.objects.get(code="egg")
        yolk = Part.objects.create(ingredient=egg, code="yolk", share=Decimal("0.3"), grams_each=Decimal(17))
        Recipe.objects.get(code="custard").lines.filter(ingredient=egg).update(part=yolk)
        catalog_changed()
        as_egg = RecipeMixtures(book_current()).mixture("custard").percent["fat"]
        changed(Part, where={"code": "yolk"}, ndb="01125")
        assert RecipeMixtures(book_current()).mixture("custard").percent["fat"] > as_egg + 1

    def test_a_trace_without_a_row_is_left_out_and_named(self) -> None:
        cooling_kitchen_make()
        mixture = RecipeMixtures(book_current()).mixture("rice-cream")
        assert mixture.unknown == ("Saffron",)
        assert mixture.unknown_share < 0.001

    def test_much_without_a_row_is_asked_for(self) -> None:
        cooling_kitchen_make()
        changed(Ingredient, where={"code": "egg"}, ndb="")
        assert "Large eggs" in missing()

    def test_air_whipped_in_makes_it_lighter_and_poorer_at_conducting(self) -> None:
        cooling_kitchen_make()
        dense = cycle_of(found()).plan.food
        changed(Recipe, where={"code": "custard"}, air=Decimal("0.4"))
        light = cycle_of(found()).plan.food
        assert light.rho < 0.8 * dense.rho
        assert light.k < 0.8 * dense.k

    def test_more_lost_than_there_is_water_is_said(self) -> None:
        cooling_kitchen_make()
        changed(Recipe, where={"code": "paste"}, loss=Decimal("0.6"))
        assert "Sweet paste" in missing()
        assert "water" in missing()


class TestStages:
    def test_they_follow_the_steps_after_the_oven(self) -> None:
        cooling_kitchen_make()
        cycle = cycle_of(found())
        assert [(stage.minutes, stage.air_c, stage.air_movement) for stage in cycle.stages] == [
            (60, 24, "room"),
            (720, 3, "still"),
        ]
        assert (cycle.before_last, cycle.stated, str(cycle.last)) == (60, 780, "Set in the cold")
        assert cycle.plan.initial_c == 80
        assert cycle.plan.body == Cylinder(100, 22)

    def test_hands_in_the_room_count_before_the_cold_and_end_it_after(self) -> None:
        tart = cooling_kitchen_make()
        chilled = tart.steps.get(kind=Step.Kind.CHILL)
        for position, name in ((chilled.position - 1, "Unmould"), (chilled.position + 1, "Glaze")):
            tart.steps.create(position=position, name=name, kind="finish", hands_fixed=4, hands_each=Decimal("0.5"))
        tart.steps.create(position=chilled.position + 2, name="Chill again", kind="chill", station=chilled.station)
        catalog_changed()
        stages = cycle_of(found()).stages
        assert {str(stage.step): stage.minutes for stage in stages} == {
            "Cool on the rack": 60,
            "Unmould": 16,
            "Set in the cold": 720,
        }

    def test_cold_stages_follow_each_other(self) -> None:
        tart = cooling_kitchen_make()
        blast = Station.objects.create(code="blast", kind="refrigerator", air="blast", air_c=Decimal(1))
        rack = tart.steps.get(kind=Step.Kind.REST)
        ProductStep.objects.filter(pk=rack.pk).update(station=blast, kind="chill", minutes=90)
        catalog_changed()
        cycle = cycle_of(found())
        assert [(stage.air_movement, stage.air_c) for stage in cycle.stages] == [("blast", 1), ("still", 3)]
        assert cycle.stages[0].stage.h_top == AIRS["blast"].top

    def test_each_step_that_says_how_warm_it_leaves_begins_one(self) -> None:
        tart = cooling_kitchen_make()
        last = tart.steps.order_by("position").last()
        assert last is not None
        tart.steps.create(position=9, name="Spread cream", kind="finish", leaves_c=Decimal(18))
        tart.steps.create(position=10, name="Chill again", kind="chill", station=last.station, minutes=90)
        catalog_changed()
        first, second = found().cycles
        assert (str(first.after), str(second.after)) == ("Bake", "Spread cream")
        assert (first.plan.rule.code, second.plan.rule.code) == (COOKED, AMBIENT)

    def test_the_room_and_the_way_it_stands_count(self) -> None:
        cooling_kitchen_make(room_c=Decimal(30))
        changed(Product, where={"code": TART}, stands_on="board", covered=True)
        cycle = cycle_of(found())
        assert cycle.stages[0].air_c == 30
        assert cycle.stages[1].stage.h_bottom == 0
        assert cycle.stages[1].stage.h_top < AIRS["still"].top

    @pytest.mark.parametrize(
        ("rule", "expected"),
        [("", COOKED), ("cooked", COOKED), ("ambient", AMBIENT)],
        ids=["by step", "cooked", "cold"],
    )
    def test_the_rule_is_the_kitchens(self, rule: str, expected: str) -> None:
        cooling_kitchen_make()
        changed(Product, where={"code": TART}, cooling_rule=rule)
        assert cycle_of(found()).plan.rule.code == expected
        changed(Kitchen, food_safety="anz")
        assert cycle_of(found()).plan.rule.code == "anz"


class TestShapes:
    @pytest.mark.parametrize(
        ("mold", "body"),
        [
            ({"shape": "block", "length_cm": 30, "width_cm": 10}, Block(300, 100, 22)),
            ({"shape": "tray", "length_cm": 45, "width_cm": 32}, Slab(22)),
        ],
    )
    def test_molds_are_bodies(self, mold: dict[str, object], body: object) -> None:
        cooling_kitchen_make()
        changed(Mold, **{"diameter_cm": None, **mold})
        assert cycle_of(found()).plan.body == body

    def test_without_a_height_it_follows_from_what_goes_in(self) -> None:
        cooling_kitchen_make()
        changed(Product, where={"code": TART}, fill_height_cm=None)
        cycle = cycle_of(found())
        grams = cycle.plan.food.rho / 1e6 * 3.14159 * 50**2 * cycle.plan.body.height_mm
        assert grams == pytest.approx(170, rel=0.001)
        assert "follows from what goes into" in note_sentence(cycle.notes[0])

    def test_a_height_that_does_not_fit_the_weight_is_noted(self) -> None:
        cooling_kitchen_make(height_cm="7")
        assert "Check the height" in note_sentence(cycle_of(found()).notes[0])


class TestMissing:
    def test_nothing_is_asked_of_what_needs_no_cooling(self) -> None:
        cooling_kitchen_make()
        changed(ProductStep, leaves_c=None)
        assert not found().asked
        assert cold_times([TART], book_current())[TART].assumed
        changed(ProductStep, kind="rest", station=None)
        assert cold_times([TART], book_current()) == {}

    def test_each_missing_thing_is_named(self) -> None:
        cooling_kitchen_make()
        changed(Product, where={"code": TART}, mold=None)
        assert missing() == "Choose what Custard tart, 10 cm is made in, so that its shape is known."

    def test_measures_of_the_mold(self) -> None:
        cooling_kitchen_make()
        changed(Mold, diameter_cm=None)
        assert missing() == "Enter the inside measures of Tart ring."

    def test_the_air_of_the_cold(self) -> None:
        cooling_kitchen_make()
        changed(Station, where={"code": "cold-room"}, air_c=None)
        assert missing().startswith("Enter the air temperature of")

    def test_where_it_chills(self) -> None:
        cooling_kitchen_make()
        changed(ProductStep, where={"kind": "chill"}, station=None)
        assert missing() == "Choose the refrigerator for “Set in the cold”."

    def test_a_cold_stage(self) -> None:
        tart = cooling_kitchen_make()
        tart.steps.filter(kind="chill").delete()
        catalog_changed()
        assert missing().startswith("No chill step follows “Bake”")


class TestColdTimes:
    def test_a_thin_tart_is_cold_before_its_night_is_over(self) -> None:
        cooling_kitchen_make()
        (time,) = cold_times([TART], book_current())[TART].times
        assert time.slow is not None
        assert time.slow < time.stated == 720

    def test_a_deep_cake_needs_longer_than_its_night(self) -> None:
        cooling_kitchen_make(diameter_cm="25", height_cm="7.5", leaves_c="68")
        (time,) = cold_times([TART], book_current())[TART].times
        assert time.slow is not None
        assert 1200 < time.slow < 2000
        assert time.verdict == "not kept"

    def test_air_that_is_too_warm_never_gets_it_cold(self) -> None:
        cooling_kitchen_make(air_c="4.5")
        (time,) = cold_times([TART], book_current())[TART].times
        assert time.slow is None
        assert time.freezing is None

    def test_air_that_freezes_its_rim_is_reported(self) -> None:
        cooling_kitchen_make(diameter_cm="25", height_cm="7.5", air_c="-18")
        (time,) = cold_times([TART], book_current())[TART].times
        assert time.slow is None
        assert time.freezing is not None
        assert time.verdict == "freezes"

    def test_the_rules_time_out_of_the_cold_is_carried(self) -> None:
        cooling_kitchen_make()
        out = cold_times([TART], book_current())[TART].out
        assert out is not None
        assert (out.minutes, out.clause is not None) == (240, True)
        changed(Kitchen, food_safety="eu")
        out = cold_times([TART], book_current())[TART].out
        assert out is not None
        assert out.minutes < 60
        assert out.clause is None

    def test_what_is_missing_is_reported_instead_and_the_stated_time_out_counts(self) -> None:
        cooling_kitchen_make(food_safety="eu", time_out_minutes=120, time_out_source="our plan")
        changed(Product, where={"code": TART}, mold=None)
        cold = cold_times([TART], book_current())[TART]
        assert (cold.times, cold.missing, cold.holds_c) == ((), found().missing, 5)
        assert cold.out is not None
        assert (cold.out.allowed_minutes, cold.boxed) == (120, cold.out)

    def test_what_is_missing_is_reported_alone_where_nothing_stands_in_the_cold(self) -> None:
        cooling_kitchen_make().steps.filter(kind="chill").delete()
        changed(Product, where={"code": TART}, mold=None)
        assert cold_times([TART], book_current())[TART] == ProductCold(missing=found().missing)

    def test_cold_times_belong_to_the_book_they_came_from(self) -> None:
        """A page reads its Book, then another person changes the cold room, then the page asks how long it cools."""
        cooling_kitchen_make()
        old = book_current()
        colder = Station.objects.get(code="cold-room")
        changed(Station, where={"code": colder.code}, air_c=colder.air_c - 4)
        cold_times([TART], old)
        (before,) = cold_times([TART], old)[TART].times
        (after,) = cold_times([TART], book_current())[TART].times
        assert before.air_c == float(colder.air_c)
        assert after.air_c == float(colder.air_c) - 4

    def test_a_known_book_takes_no_query(self) -> None:
        cooling_kitchen_make()
        codes, book = ["custard-tart", "rice-glass", "walnut-cake"], book_current()
        with CaptureQueriesContext(
            connection,
        ) as first:
            cold_times(codes, book)
        with CaptureQueriesContext(connection) as again:
            cold_times(codes, book)
        assert len(again) == 0
        assert len(first) <= 10


class TestProperties:
    # Below 16 mm the height of the amounts counts; the ring is 80 mm high.
    @given(height=st.integers(16, 75))
    def test_the_deeper_the_longer(self, height: int) -> None:
        # Rows are made once; only the height changes from example to example.
        if not Product.objects.filter(code=TART).exists():
            cooling_kitchen_make()
        changed(Product, where={"code": TART}, fill_height_cm=Decimal(height) / 10)
        (less,) = cold_times([TART], book_current())[TART].times
        changed(Product, where={"code": TART}, fill_height_cm=Decimal(height + 5) / 10)
        (more,) = cold_times([TART], book_current())[TART].times
        assert less.slow is not None
        assert more.slow is not None
        assert less.slow < more.slow
