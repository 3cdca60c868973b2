"""The invented kitchen: both profiles can be imported, and the cooling of every product can be computed."""

import json
import re
from collections.abc import Iterator
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

import pytest

from catalog.book.selectors import book_current
from catalog.book.services import book_import, book_text
from catalog.cooling.batch_reports import batch_report
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.never_hot_claims import cold_by_silence
from catalog.cooling.selectors import Cooled, cold_times, cooled, first_broken, products_unsaid
from catalog.cooling.stages import CoolingCycle
from catalog.kitchen.models import Kitchen
from catalog.pantry.food_table import foods
from catalog.products.models import Product, ProductStep
from catalog.recipes.models import Recipe
from catalog.recipes.perishables import room_safe
from config.demo.catalog import catalog
from config.demo.people import PEOPLE
from config.wording.spelling import BRITISH, ENDINGS
from costing.chilling import food_of, report
from costing.contract import Mold
from orders.production.procedure import procedure
from tests.integration.catalog.book.forms import normal
from tests.made_once import made_once

# On one worker, so that each profile is imported once in a run.
pytestmark = [pytest.mark.django_db, pytest.mark.xdist_group("demo kitchen")]


#: British words that no text of the service has, but a kitchen's own words may.
_ELSEWHERE_BRITISH = (
    "neighbour",
    "flavour",
    "harbour",
    "savoury",
    "caramelise",
    "icing sugar",
    "caster sugar",
    "gateau",
)


def taken_over(which: str) -> dict[str, Any]:
    """Import the whole kitchen, as ``manage.py demo prepare`` does."""
    book = catalog(which)
    made_once(("demo kitchen", which), lambda: book_import(data=json.dumps(book).encode()))
    return book


def worked_out() -> dict[str, Cooled]:
    """Compute the cooling of every product."""
    book = book_current()
    return cooled([product.code for product in book.products], book)


def floor_cm2(mold: Mold) -> float:
    if mold.diameter_cm is not None:
        return 3.14159265 * float(mold.diameter_cm) ** 2 / 4
    return float(mold.length_cm or 0) * float(mold.width_cm or 0)


def verdict(cycle: CoolingCycle) -> str:
    return str(report(cycle.plan).verdict)


@pytest.mark.parametrize("which", ["us", "eu"])
class TestBothProfiles:
    def test_it_comes_out_as_it_went_in(self, which: str) -> None:
        taken_over(which)
        text = book_text()
        book_import(data=text.encode())
        assert book_text() == text
        assert normal(json.loads(text)["products"]) == normal(without_defaults(catalog(which)["products"]))

    def test_all_that_is_eaten_has_a_composition(self, which: str) -> None:
        taken_over(which)
        book = book_current()
        known = RecipeMixtures(book)
        for recipe in book.recipes:
            assert known.mixture(recipe.code).unknown == (), recipe.code
        assert all(foods()[part.ndb].composition for item in book.ingredients for part in item.parts)

    def test_all_that_cools_is_worked_out(self, which: str) -> None:
        taken_over(which)
        asked = set(ProductStep.objects.exclude(leaves_c=None).values_list("product__code", flat=True))
        found = worked_out()
        assert {code for code, one in found.items() if one.cycles} == asked
        assert len(asked) >= 10
        for code in asked:
            for cycle in found[code].cycles:
                # What was baked before it is spread counts from the heat, and that is remarked.
                assert [note.code for note in cycle.notes if note.code != "since_heat"] == [], code

    def test_what_goes_in_fills_to_the_height(self, which: str) -> None:
        """Mass over density over floor, within 15 % of the height entered; and no mold runs over."""
        taken_over(which)
        book = book_current()
        for one in worked_out().values():
            if one.cycles:
                mold, height = book.mold(one.product.mold or ""), one.product.fill_height_cm
                assert mold.height_cm is not None
                assert height is not None
                whole = RecipeMixtures(book).portion(one.product.code)
                # A tray holds a whole load.
                grams = float(whole.grams) * (1 if mold.shape == "round" else one.product.load or 1)
                fills = grams / (food_of(whole.percent, whole.air).rho / 1000) / floor_cm2(mold)
                assert fills == pytest.approx(float(height), rel=0.15), one.product.code
                assert height <= mold.height_cm

    def test_hot_components_keep_the_rule_in_their_vessels_at_a_full_batch(self, which: str) -> None:
        taken_over(which)
        book, shown = book_current(), []
        for recipe in book.recipes:
            report = batch_report(recipe.code, None)
            for cycle in report.cycles:
                shown.append(recipe.code)
                assert cycle.figures.report.verdict in ("kept", "untimed"), recipe.code
                assert cycle.figures.cycle.notes == (), recipe.code
        assert len(shown) >= 4

    def test_what_needs_no_cooling_asks_for_none(self, which: str) -> None:
        taken_over(which)
        assert not Product.objects.get(code="meringue-bag").steps.exclude(leaves_c=None).exists()
        assert "room temperature" in Recipe.objects.get(code="dried-meringue").note

    def test_every_hot_step_is_answered(self, which: str) -> None:
        taken_over(which)
        book = book_current()
        assert products_unsaid([product.code for product in book.products], book) == {}
        assert [recipe.code for recipe in book.recipes if batch_report(recipe.code, None).missing] == []
        written = procedure()
        # Dried meringue needs no cold.
        assert (written.unanswered, written.others) == ((), ())

    def test_what_is_safe_at_room_temperature_says_so(self, which: str) -> None:
        taken_over(which)
        assert all("safe at room temperature" in one.note for one in Recipe.objects.filter(shelf_stable=True))
        book = book_current()
        assert [one.code for one in book.recipes if one.shelf_stable and not room_safe(one, book)] == []

    def test_names_speak_of_one_system_of_measures(self, which: str) -> None:
        """A US kitchen has inches, quarts and Fahrenheit in its names; an EU kitchen is metric."""
        foreign = re.compile({"us": r"\b(cm|mm|l|ml|g|kg)\b|°C", "eu": r"\b(in|qt|oz|lb)\b\W*$|°F|\bin \("}[which])
        book = catalog(which)
        named = [row["name"] for key in ("moulds", "vessels", "products", "recipes") for row in book[key]]
        named += [step["name"] for key in ("products", "recipes") for row in book[key] for step in row["steps"]]
        named += [str(product.get("holding", "")) for product in book["products"]]
        assert [name for name in named if foreign.search(name)] == []
        sizes = {"us": ("Ring, 10 in", "25.4"), "eu": ("Ring, 25 cm", "25")}[which]
        assert sizes in [(mold["name"], mold.get("diameter_cm")) for mold in book["moulds"]]

    def test_a_kitchen_spells_as_its_country_does(self, which: str) -> None:
        """Names, steps, notes and descriptions, and what customers call their day; the US profile has none British."""
        british = re.compile(rf"\b({'|'.join([*BRITISH.values(), *_ELSEWHERE_BRITISH])}){ENDINGS}\b", re.IGNORECASE)
        occasions = [] if which == "eu" else [person.occasion for person in PEOPLE]
        found = [text for text in [*texts_of(catalog(which)), *occasions] if british.search(text)]
        assert sorted(set(found)) == {"us": [], "eu": ["Icing sugar", "Roast and caramelise"]}[which]


@pytest.mark.parametrize("which", ["us", "eu"])
class TestWhatAPlanCounts:
    """Nothing is left to a default: what is made, where it waits and for how long, and what there is of everything."""

    def test_each_oven_has_its_temperature_and_each_wait_its_end(self, which: str) -> None:
        book = catalog(which)
        for made in [*book["recipes"], *book["products"]]:
            for step in made["steps"]:
                assert "temperature_c" in step or step.get("station") != "oven", made["code"]
                assert "hold_max" in step or step["kind"] not in ("chill", "rest"), made["code"]
        assert {step.get("attended") for one in book["recipes"] for step in one["steps"]} >= {"ends", "throughout"}

    def test_each_product_says_what_a_load_takes_and_how_long_it_keeps(self, which: str) -> None:
        book = catalog(which)
        assert all(product["load_places"] for product in book["products"])
        cold = [one for one in book["products"] if any(step["kind"] == "chill" for step in one["steps"])]
        assert all(0 < int(product["keeps_hours"]) <= 7 * 24 for product in cold)
        waiting = [one for one in book["recipes"] if any(step.get("station") == "cold-room" for step in one["steps"])]
        assert all("kg_per_place" in recipe for recipe in waiting)
        assert any(product.get("mold_leaves") for product in book["products"])

    def test_there_are_people_hours_vans_and_days_that_differ(self, which: str) -> None:
        book = catalog(which, datetime(2026, 12, 1, 9, tzinfo=UTC))
        assert all(one["hands"] for one in [*book["hours"], *book["days"]])
        assert {one["weekday"] for one in book["hand_over_hours"]} == {one["weekday"] for one in book["hours"]}
        assert [one["cold"] for one in book["vehicles"]] == [False, True]
        assert all(station["places"] and station["count"] for station in book["stations"].values())
        assert [len(one["out"]) for one in book["stations"].values() if "out" in one] == [1]
        assert len({one["date"] for one in book["closed"]}) == 2
        asked = ("longest_wait_min", "most_events_per_day", "most_guests_per_day")
        assert all(book["kitchen"]["profile"][key] for key in asked)


class TestRules:
    def test_each_profile_keeps_its_own_rules(self) -> None:
        taken_over("us")
        assert Kitchen.objects.values_list("food_safety", "room_c", "away_c").get() == ("us", Decimal(23), Decimal(25))
        taken_over("eu")
        assert Kitchen.objects.get().food_safety == "eu"

    def test_the_blast_chiller_keeps_the_two_stages_and_the_still_cold_room_does_not(self) -> None:
        taken_over("us")
        found = worked_out()
        (pears,) = found["pear-buckwheat-tart"].cycles
        (custard,) = found["custard-tart-9"].cycles
        assert {stage.air_movement for stage in pears.stages} == {"room", "blast", "still"}
        assert "blast" not in {stage.air_movement for stage in custard.stages}
        assert pears.plan.rule == custard.plan.rule
        assert verdict(pears) == "kept"
        assert verdict(custard) == "not kept"

    def test_only_what_teaches_how_it_is_measured_breaks_the_rule(self) -> None:
        """The larger of two sizes of one cake, and a tart that waits for the still cold room."""
        taken_over("us")
        book = book_current()
        found = cold_times([product.code for product in book.products], book)
        broken = {code for code, one in found.items() if first_broken(one.times)}
        assert broken == {"chocolate-hazelnut-10", "custard-tart-9"}


def texts_of(data: Any, key: str = "") -> Iterator[str]:
    """Find the words an owner types, at any depth of a Book."""
    if isinstance(data, dict):
        for name, value in data.items():
            yield from texts_of(value, name)
    elif isinstance(data, list):
        for value in data:
            yield from texts_of(value, key)
    elif isinstance(data, str) and key in ("name", "description", "note", "text", "holding"):
        yield data


def without_defaults(products: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Leave out minutes of hands that are nought, as the export does."""
    hands = ("hands_fixed", "hands_each")
    return [
        product
        | {
            "steps": [
                {key: value for key, value in step.items() if key not in hands or Decimal(value)}
                for step in product["steps"]
            ]
        }
        for product in products
    ]


def test_its_products_have_no_step_that_is_asked_about() -> None:
    taken_over("us")
    book = book_current()
    asked = cold_by_silence([product.code for product in book.products], book)
    assert [(one.code, one.asked) for one in asked if one.kind == "product"] == []
