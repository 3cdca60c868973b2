"""How a product cools, on screen: the answer, both clocks, verdicts, what would help, time out, what is missing."""

import re
from dataclasses import replace
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.caution_presenters import cautions_shown
from catalog.cooling.presenters import CycleShown, cooling_page
from catalog.cooling.reports import cooling_report
from catalog.cooling.selectors import cooled
from catalog.cooling.words import length, length_at_most
from catalog.kitchen.models import Kitchen
from catalog.molds.models import Mold
from catalog.products.models import Product
from catalog.rates.models import Station
from catalog.recipes.models import Recipe
from catalog.web import display
from catalog.web.access import KITCHEN
from costing.chilling import Plan, depth, diameter, report, trial
from tests.cooling_kitchen import cooling_kitchen_make
from tests.factories import PASSWORD, user_make
from tests.integration.catalog.recipes.test_recipes import page_text, signed_in

pytestmark = pytest.mark.django_db

METRIC = {"degrees": "C", "measures": "metric"}
#: A cake that fails the US rule: 25 cm across, 8 cm high.
CAKE = {"diameter_cm": "25", "height_cm": "8"}


@pytest.fixture
def owner(client: Client) -> Client:
    """Sign the owner in; the kitchen comes with each test."""
    user_make()
    client.login(username="maren", password=PASSWORD)
    return client


def page(client: Client, product: Product) -> str:
    """Return the cooling page as people read it."""
    response = client.get(reverse("product-cooling", args=[product.pk]))
    assert response.status_code == 200
    return page_text(response)


def plan_of(product: Product) -> Plan:
    """Return the plan the rows make."""
    return cooled([product.code], book_current())[product.code].cycles[0].plan


def cycle_of(product: Product) -> CycleShown:
    """Return what the page shows of its only cooling cycle."""
    with display.kitchen_display(Kitchen.objects.get()):
        (cycle,) = cooling_page(cooling_report(product, 1)).cycles
    return cycle


def changed(model: type, /, *, where: dict[str, object] | None = None, **columns: object) -> None:
    """Change rows behind the services' back, and let the catalog know."""
    model.objects.filter(**(where or {})).update(**columns)  # type: ignore[attr-defined]  # every model has objects
    catalog_changed()


class TestTheAnswer:
    def test_the_cooling_rules_where_its_slow_end_is_longer(self, owner: Client) -> None:
        cake = cooling_kitchen_make(**CAKE)
        cold = report(plan_of(cake)).cold
        assert cold.likely is not None
        assert cold.slow is not None
        assert cold.slow > 13 * 60
        shown = page(owner, cake)
        assert f"the core is at 41 °F after about {display.duration(round(cold.likely))}" in shown
        plan = display.duration(-int(-cold.slow // 1))
        assert f"Plan {plan} for cooling: your steps state only 13 h." in shown
        assert f"Cooling to 41 °F, at the slowest {plan} this one counts" in shown

    def test_a_stated_night_rules_where_it_is_longer(self, owner: Client) -> None:
        shown = page(owner, cooling_kitchen_make())
        assert re.search(r"Plan the 13 h your steps state: cooling takes .* at the slowest\.", shown)
        assert "Setting and resting, as its steps state 13 h this one counts" in shown

    def test_air_that_is_too_near_the_limit_is_never_long_enough(self, owner: Client) -> None:
        shown = page(owner, cooling_kitchen_make(air_c="4.5", **METRIC))
        assert "not within 7 days at the slowest" in shown
        assert "the air (cold-room, 4.5 °C) is too near 5 °C. Set it colder, or use another place." in shown
        shown = page(owner, change_air("6"))
        assert "the core is not likely to get to 5 °C in cold-room at 6 °C" in shown

    def test_times_are_those_of_the_report_and_rounded_to_the_safe_side(self, owner: Client) -> None:
        cake = cooling_kitchen_make(**CAKE)
        shown = page(owner, cake)
        for reached, limit in zip(report(plan_of(cake)).reached, ("135 °F", "70 °F", "41 °F"), strict=True):
            fast, likely, slow = reached.range.fast, reached.range.likely, reached.range.slow
            assert fast is not None
            assert likely is not None
            assert slow is not None
            times = [display.duration(each) for each in (int(fast), round(likely), -int(-slow // 1))]
            assert f"{limit} {times[0]} {times[1]} {times[2]}" in shown

    def test_cautions_stand_beside_it(self, owner: Client) -> None:
        shown = page(owner, cooling_kitchen_make())
        assert all(caution in shown for caution in cautions_shown())
        # On a phone the cautions come last, so the first of them stands with the answer too.
        assert shown.index("Check with a calibrated probe") < shown.index("What the estimate is based on")


def change_air(air_c: str) -> Product:
    """Set the cold room's air."""
    changed(Station, where={"code": "cold-room"}, air_c=Decimal(air_c))
    return Product.objects.get(code="custard-tart")


class TestWhatItRestsOn:
    def test_shape_food_and_stages_each_lead_to_where_they_are_changed(self, owner: Client) -> None:
        tart = cooling_kitchen_make()
        response = owner.get(reverse("product-cooling", args=[tart.pk]))
        shown, html = page_text(response), response.content.decode()
        assert "round, 3.9 in across, 0.9 in high" in shown
        plan, cycle = plan_of(tart), cycle_of(tart)
        assert f"{display.plain(plan.food.rho, 0)} kg/m³" in shown
        assert f"{cycle.cycle.mixture.percent['water']:.1f}% water" in shown
        assert "1 Cool on the rack the kitchen 75.2 room air 1 h" in shown
        assert "2 Set in the cold cold-room 37.4 still air 12 h" in shown
        cold = Station.objects.get(code="cold-room")
        for name, pk in (("mold-edit", tart.mold_id), ("product-edit", tart.pk), ("kitchen-stations-edit", cold.pk)):
            assert reverse(name, args=[pk]) in html
        assert reverse("recipe", args=[Recipe.objects.get(code="custard").pk]) in html

    def test_inches_are_for_kitchens_that_measure_by_them(self, owner: Client) -> None:
        assert "round, 10 cm across, 2.2 cm high" in page(owner, cooling_kitchen_make(**METRIC))

    def test_the_kitchen_reads_it_without_links_it_may_not_open(self, owner: Client) -> None:
        tart = cooling_kitchen_make()
        response = signed_in(KITCHEN).get(reverse("product-cooling", args=[tart.pk]))
        assert "Plan the 13 h your steps state" in page_text(response)
        for address in (reverse("product-edit", args=[tart.pk]), reverse("mold-edit", args=[tart.mold_id])):
            assert address not in response.content.decode()

    def test_what_seems_odd_or_is_left_out_is_reported(self, owner: Client) -> None:
        tart = cooling_kitchen_make(height_cm="6")
        assert "Check the height, the amounts" in page(owner, tart)

    def test_the_table_follows_the_curve(self, owner: Client) -> None:
        tart = cooling_kitchen_make(**METRIC)
        cycle, curve = cycle_of(tart), report(plan_of(tart)).curve
        rows = {row.minutes: row for row in cycle.curve.rows}
        assert rows[0].likely == "80.0"
        assert [rows[at].air for at in (0, 60)] == ["24.0", "3.0"]
        at = curve.minutes.index(60.0)
        shown = (rows[60].fast, rows[60].likely, rows[60].slow, rows[60].mean)
        lines = (curve.fast, curve.likely, curve.slow, curve.mean)
        assert [float(each) for each in shown] == pytest.approx([line[at] for line in lines], abs=0.051)


class TestTheRule:
    def test_a_high_cake_does_not_meet_the_us_rule(self, owner: Client) -> None:
        shown = page(owner, cooling_kitchen_make(**CAKE))
        assert "Does not meet the rule." in shown
        assert "US Food Code 3-501.14(A), as enacted in 16 Del. Admin. Code 3-501.14." in shown
        assert "It is law where a state or county has adopted it; editions differ. Its text was read for this." in shown
        assert re.search(r"135 °F to 70 °F 2 h \d h \d+ min \d h \d+ min not met", shown)

    def test_a_small_tart_with_a_fan_meets_the_us_rule(self, owner: Client) -> None:
        tart = cooling_kitchen_make(height_cm="1.6")
        changed(Station, where={"code": "cold-room"}, air=Station.Air.FAN)
        shown = page(owner, tart)
        assert "Meets the rule. Even if it cools slowly." in shown
        assert "What would meet the rule" not in shown

    def test_australias_second_leg_is_kept_as_likely_only(self, owner: Client) -> None:
        shown = page(owner, cooling_kitchen_make(food_safety="au", **METRIC))
        assert "Likely meets the rule, but not if it cools slowly. Measure it" in shown
        assert "21 °C to 5 °C 4 h 2 h 20 min 4 h 14 min likely met, but not if it cools slowly" in shown
        assert "What would meet the rule" in shown

    def test_a_rule_without_times_says_so_and_shows_another_for_comparison(self, owner: Client) -> None:
        shown = page(owner, cooling_kitchen_make(food_safety="eu", **CAKE, **METRIC))
        assert "The rule states no times." in shown
        assert (
            "For comparison only. European Union: the cold chain is not interrupted; no temperature and no times"
            in shown
        )
        assert "For comparison, not your rule" in shown
        assert re.search(r"57 °C to 5 °C 6 h .* not met", shown)
        assert "What would meet the rule" not in shown

    def test_food_made_at_room_temperature_is_compared_with_the_rule_for_it(self, owner: Client) -> None:
        tart = cooling_kitchen_make(food_safety="eu", leaves_c="58", **METRIC)
        changed(Product, where={"pk": tart.pk}, cooling_rule=Product.CoolingRule.AMBIENT)
        assert re.search(r"the start to 5 °C 4 h", page(owner, tart))

    def test_guidance_is_called_guidance(self, owner: Client) -> None:
        shown = page(owner, cooling_kitchen_make(food_safety="uk-cook-chill", **METRIC))
        assert "It is guidance, not law." in shown
        assert "the core is not likely to get to 3 °C" in shown

    def test_a_stage_that_freezes_the_rim_is_refused_with_the_reason(self, owner: Client) -> None:
        cake = cooling_kitchen_make(air_c="-18", **CAKE)
        frozen = report(plan_of(cake)).freezes
        assert frozen is not None
        after = display.duration(frozen.minutes)
        shown = page(owner, cake)
        assert (
            f"the outside freezes {after} into “Set in the cold” in air at −0.4 °F, before the core is at 41 °F"
            in shown
        )
        assert "Set the air of cold-room to 28.4 °F or warmer, or cool it in another refrigerator." in shown
        assert "41 °F beyond the estimate beyond the estimate beyond the estimate" in shown
        assert "beyond the estimate not known" in shown
        assert "What would meet the rule" not in shown
        assert max(row.minutes for row in cycle_of(cake).curve.rows) <= 60 + frozen.minutes

    def test_a_rim_that_freezes_after_its_middle_is_cold_is_reported(self, owner: Client) -> None:
        tart = cooling_kitchen_make(air_c="-4", diameter_cm="13", height_cm="1")
        shown = page(owner, tart)
        assert "Meets the rule." in shown
        assert re.search(r"End “Set in the cold” within 1 h \d+ min, before the outside freezes", shown)


class TestRemedies:
    def test_sizes_are_the_largest_that_keep_it(self, owner: Client) -> None:
        cake = cooling_kitchen_make(**CAKE, **METRIC)
        plan, remedies = plan_of(cake), cycle_of(cake).remedies
        assert remedies is not None
        height = depth(plan)
        assert height.slow_mm is not None
        width = diameter(plan)
        assert width is not None
        assert width.likely_mm is not None
        with display.kitchen_display(Kitchen.objects.get()):
            high, wide = length_at_most(height.slow_mm), length_at_most(width.likely_mm)
        wording = {one.change: one for one in remedies.tried}
        shown = wording[f"At most {high} high instead of 8 cm"]
        assert shown.outcome == "met, even if it cools slowly"
        lower = trial(replace(plan, body=replace(plan.body, height_mm=height.slow_mm)))
        assert lower.verdict == "kept"
        assert lower.cold_likely is not None
        assert shown.likely == display.duration(round(lower.cold_likely))
        # What is narrower than two thirds of it is another cake.
        assert width.likely_mm < 2 / 3 * 250
        assert f"At most {wide} across instead of 25 cm" not in wording

    def test_the_limit_that_decides_is_named(self, owner: Client) -> None:
        remedies = cycle_of(cooling_kitchen_make(**CAKE, **METRIC)).remedies
        assert remedies is not None
        for one in remedies.tried:
            fails = one.outcome != "met, even if it cools slowly"
            assert one.by_rule.startswith("Limit that fails: " if fails else "Closest limit: "), one
            assert one.by_rule.endswith("at the slowest")

    def test_other_air_and_less_time_in_the_room_are_tried(self, owner: Client) -> None:
        remedies = cycle_of(cooling_kitchen_make(**CAKE, **METRIC)).remedies
        assert remedies is not None
        assert [one.change for one in remedies.tried[:5]] == [
            "Straight into the cold, no time in the room",
            "A fan in its refrigerator",
            "A fan in its refrigerator, and straight into it",
            "A blast chiller at 1 °C",
            "A blast chiller at 1 °C, and straight into it",
        ]
        assert {one.outcome for one in remedies.tried[:5]} == {"not met"}

    def test_a_fan_is_not_offered_where_there_is_one(self) -> None:
        cake = cooling_kitchen_make(**CAKE)
        changed(Station, where={"code": "cold-room"}, air=Station.Air.FAN)
        remedies = cycle_of(cake).remedies
        assert remedies is not None
        assert not any("A fan" in one.change for one in remedies.tried)

    def test_the_kitchens_own_molds_that_would_are_named_and_the_others_counted(
        self, owner: Client, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr("catalog.cooling.remedies._LEAST_SHARE", 0)
        cake = cooling_kitchen_make(**CAKE, **METRIC)
        ring = {"shape": "round", "height_cm": Decimal(5)}
        Mold.objects.create(name="Cup, 6 cm", diameter_cm=Decimal(6), **ring)
        Mold.objects.create(name="Ring, 20 cm", diameter_cm=Decimal(20), **ring)
        Mold.objects.create(name="Not measured")
        remedies = cycle_of(cake).remedies
        assert remedies is not None
        assert [one.change for one in remedies.tried if one.change.startswith("In ")] == [
            "In Cup, 6 cm, filled to 5 cm"
        ]
        assert "1 other mold you own would not meet the rule." in remedies.remarks

    def test_a_glass_is_no_mold_for_a_cake(self) -> None:
        cake = cooling_kitchen_make(**CAKE, **METRIC)
        Mold.objects.create(name="Glass, 6 cm", shape="round", diameter_cm=Decimal(6), height_cm=Decimal(5))
        remedies = cycle_of(cake).remedies
        assert remedies is not None
        assert not any("Glass" in one.change for one in remedies.tried)

    def test_a_mold_of_another_stuff_cools_as_that_stuff_does(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr("catalog.cooling.remedies._LEAST_SHARE", 0)
        cake = cooling_kitchen_make(**CAKE)
        for name, wall in (("Metal cup", "metal"), ("Silicone cup", "silicone")):
            Mold.objects.create(name=name, wall=wall, diameter_cm=Decimal(6), height_cm=Decimal(4))
        remedies = cycle_of(cake).remedies
        assert remedies is not None
        metal, silicone = (one for one in remedies.tried if "cup" in one.change)
        assert (metal.slow, silicone.slow) == tuple(sorted((metal.slow, silicone.slow)))
        assert metal.slow != silicone.slow

    def test_where_nothing_tried_would_a_sentence_says_so(self, owner: Client) -> None:
        loaf = cooling_kitchen_make(food_safety="uk-cook-chill", **CAKE, **METRIC)
        shown = page(owner, loaf)
        assert "Nothing that was tried meets the rule." in shown
        assert "What is left to try: a smaller batch, two of these changes together" in shown
        assert "No height of 1 cm or more meets the rule, with all else as it is." in shown

    def test_a_size_not_to_be_passed_is_rounded_down_in_either_unit(self) -> None:
        with display.use(display.DisplaySettings(measures="us")):
            assert length_at_most(49.5) == "1.9 in"
            assert length(49.5) == "1.9 in"
        with display.use(display.DisplaySettings(measures="metric")):
            assert length_at_most(26.0) == "2.6 cm"


class TestOutOfTheCold:
    def test_the_rules_own_time_counts_where_it_states_one(self, owner: Client) -> None:
        shown = page(owner, cooling_kitchen_make())
        assert (
            "Carried in a carton in air at 77 °F, as entered for it, it may be out for 4 h (the rule’s time)." in shown
        )
        assert "US Food Code 3-501.19(B)" in shown

    def test_where_the_rule_states_no_time_it_is_kept_cold_and_the_owner_is_asked_for_a_limit(
        self, owner: Client
    ) -> None:
        shown = page(owner, cooling_kitchen_make(food_safety="eu", **METRIC))
        assert "as entered for it: keep it cold until it is served." in shown
        assert "Your rule states no time out of the cold: keep it cold until it is served." in shown
        assert "Enter the limit that you or your authority use" in shown
        assert "the estimate, 1 cm deep" not in shown
        assert "It states no temperature for cold food: 5 °C is used" in shown

    def test_a_limit_of_the_house_counts_with_its_source(self, owner: Client) -> None:
        limit = {"time_out_minutes": 120, "time_out_source": "Our food safety plan, March 2026"}
        shown = page(owner, cooling_kitchen_make(food_safety="eu", **limit, **METRIC))
        assert "it may be out for 2 h (your own limit)." in shown
        assert "2 h, however warm it gets. Your own limit: Our food safety plan, March 2026." in shown

    def test_a_defence_is_called_one_and_australias_two_hours_are_said(self, owner: Client) -> None:
        tart = cooling_kitchen_make(food_safety="uk-ni", **METRIC)
        shown = page(owner, tart)
        assert "it may be out for less than 4 h (a defense the kitchen has to prove)." in shown
        assert "A defense the kitchen has to prove. Its text was read for this." in shown
        changed(Kitchen, food_safety="au")
        assert "back into the cold only within less than 2 h" in page(owner, tart)

    def test_who_chose_a_rule_that_was_divided_reads_what_changed(self, owner: Client) -> None:
        tart = cooling_kitchen_make(food_safety="uk", **METRIC)
        shown = page(owner, tart)
        assert "Choose your rule again. England, Wales, Northern Ireland and" in shown
        assert "Choose your rule" in shown
        changed(Kitchen, food_safety="uk-sc")
        assert "was divided" not in page(owner, tart)

    def test_each_box_is_worked_out_in_each_air_and_its_own_is_marked(self) -> None:
        tart = cooling_kitchen_make(**METRIC)
        changed(Product, where={"pk": tart.pk}, carried=Product.Carried.INSULATED)
        tart.refresh_from_db()
        rows = cycle_of(tart).time_out.rows
        assert [row.air_c for row in rows] == [20.0, 25.0, 30.0] * 3
        assert [(row.carried, row.air_c) for row in rows if row.own] == [("in an insulated box", 25.0)]
        (own,) = (row for row in rows if row.own)
        bare = next(row for row in rows if row.carried == "uncovered" and row.air_c == 25.0)
        assert int(own.deep.split()[0]) > int(bare.deep.split()[0])

    def test_an_away_temperature_that_is_a_usual_one_stands_once(self) -> None:
        tart = cooling_kitchen_make()
        changed(Kitchen, away_c=Decimal(30))
        assert [row.air_c for row in cycle_of(tart).time_out.rows] == [20.0, 30.0] * 3

    def test_air_that_is_cold_itself_sets_no_end(self, owner: Client) -> None:
        tart = cooling_kitchen_make(**METRIC)
        changed(Kitchen, away_c=Decimal(4), vehicle_cold=True)
        shown = page(owner, tart)
        assert "it may be out for without end (the air is cold itself)" not in shown
        assert "it may be out with no limit: the air itself is cold." in shown
        assert "Your vehicle is refrigerated" in shown
