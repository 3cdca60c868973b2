"""How a batch of a recipe cools: divided over its vessels, at a stated size, judged, with what would keep the rule."""

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.batch_reports import BatchCooled, batch_colds, batch_cooled, batch_report
from catalog.cooling.missing_presenters import missing_sentence, note_sentence
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.stages import CoolingCycle
from catalog.rates.models import Station
from catalog.recipes.models import Recipe, RecipeStep
from catalog.vessels.models import Vessel
from catalog.web.access import KITCHEN
from costing.chilling import ICE_BATH, Block, Cylinder, trial
from tests.batch_kitchen import batch_kitchen_make
from tests.factories import PASSWORD, user_make
from tests.integration.catalog.editor_forms import WILD
from tests.integration.catalog.recipes.test_recipes import page_text, signed_in

pytestmark = pytest.mark.django_db
KG = Fraction(2400)


def found(grams: Fraction = KG, code: str = "custard") -> BatchCooled:
    """Work an amount out as the kitchen stands."""
    book = book_current()
    return batch_cooled(book.recipe(code), grams, RecipeMixtures(book))


def cycle(grams: Fraction = KG) -> CoolingCycle:
    """Return the only cooling of a batch."""
    one = found(grams)
    assert one.missing is None, one.missing
    (only,) = one.cycles
    return only


def changed(**columns: Any) -> None:
    """Change the step that leaves hot, and let the catalog know."""
    RecipeStep.objects.filter(recipe__code="custard", leaves_c__isnull=False).update(**columns)
    catalog_changed()


@pytest.fixture
def owner(client: Client) -> Client:
    """Sign the owner in; the kitchen comes with each test."""
    user_make()
    client.login(username="maren", password=PASSWORD)
    return client


def page(client: Client, amount: str = "2.4 kg") -> str:
    """Return the page of an amount as people read it."""
    pk = Recipe.objects.get(code="custard").pk
    response = client.get(reverse("recipe-cooling", args=[pk]), {"amount": amount})
    assert response.status_code == 200
    return page_text(response)


class TestInItsVessels:
    def test_depth_follows_from_mass_and_density(self) -> None:
        batch_kitchen_make()
        plan = cycle().plan
        assert isinstance(plan.body, Block)
        assert plan.body.height_mm == pytest.approx(2.4 / plan.food.rho / 0.25 / 0.16 * 1000)

    def test_as_many_as_needed_go_by_the_depth_that_is_stated(self) -> None:
        batch_kitchen_make(depth_cm=Decimal(2))
        fill = cycle().plan.fill
        assert fill is not None
        assert (fill.count, fill.height_mm <= 20) == (3, True)

    def test_a_depth_goes_before_a_number_of_vessels_that_would_stand_deeper_and_says_so(self) -> None:
        batch_kitchen_make(depth_cm=Decimal(2), vessels=1)
        one = cycle()
        assert one.plan.fill is not None
        assert (one.plan.fill.count, one.plan.fill.height_mm <= 20) == (3, True)
        (note,) = one.notes
        assert note_sentence(note) == (
            "“In how many” says 1 and “Deep at most” 0.8 in. The two do not fit together for this"
            " amount, so it is divided over 3 × Tub."
        )

    def test_more_vessels_than_the_depth_asks_for_are_taken_as_stated(self) -> None:
        batch_kitchen_make(depth_cm=Decimal(4), vessels=4)
        one = cycle()
        assert one.plan.fill is not None
        assert (one.plan.fill.count, one.notes) == (4, ())

    def test_a_number_of_vessels_without_a_depth_holds(self) -> None:
        batch_kitchen_make(vessels=1)
        one = cycle()
        assert one.plan.fill is not None
        assert one.plan.fill.count == 1

    @pytest.mark.parametrize(("grams", "codes"), [(2000, []), (2400, ["brimful"])])
    def test_a_vessel_filled_nearly_to_its_rim_is_warned_of(self, grams: int, codes: list[str]) -> None:
        """Nine tenths of the height: common practice, no source."""
        batch_kitchen_make(vessels=1)
        (one,) = found(Fraction(grams)).cycles
        assert one.plan.fill is not None
        assert (one.plan.fill.height_mm / one.plan.fill.vessel.depth_mm > 0.9) == bool(codes)
        assert [note.code for note in one.notes] == codes

    def test_more_than_the_kitchen_owns_is_said(self) -> None:
        batch_kitchen_make(depth_cm=Decimal(1))
        assert [note.code for note in cycle().notes] == ["more_than_owned"]

    def test_what_does_not_fit_is_refused_with_how_many_are_needed(self) -> None:
        batch_kitchen_make(vessels=1)
        missing = found(Fraction(4000)).missing
        assert missing is not None
        assert missing.reason.code == "does_not_fit"
        assert missing.reason.params["needed"] == 2

    def test_a_batch_limit_divides_before_the_vessels_do(self) -> None:
        batch_kitchen_make()
        Recipe.objects.filter(code="custard").update(batch_limit="2 kg")
        catalog_changed()
        one = found(Fraction(5000))
        assert (one.batches.count, one.batches.each_kg) == (3, Fraction(5, 3))

    def test_a_round_pot_is_round_and_a_bowl_without_a_diameter_is_no_bowl(self) -> None:
        batch_kitchen_make()
        Vessel.objects.filter(name="Tub").update(kind="bowl")
        catalog_changed()
        assert isinstance(cycle().plan.body, Block)
        Vessel.objects.filter(name="Tub").update(kind="pot", length_cm=None, width_cm=None, diameter_cm=Decimal(25))
        catalog_changed()
        assert isinstance(cycle().plan.body, Cylinder)

    def test_the_deeper_it_stands_the_slower_it_cools(self) -> None:
        batch_kitchen_make()
        shallow, deep = (trial(cycle(Fraction(grams)).plan).cold_likely for grams in (1200, 2400))
        assert shallow is not None
        assert deep is not None
        assert deep > 1.5 * shallow


class TestHowItCools:
    def test_a_full_tub_of_hot_custard_in_a_still_cold_room_fails_by_far(self) -> None:
        batch_kitchen_make()
        tried = trial(cycle().plan)
        assert tried.verdict == "not kept"
        first, second = tried.legs
        assert first.likely.minutes is not None
        assert first.likely.minutes > 200
        assert second.likely.minutes is not None
        assert second.likely.minutes > 600

    def test_an_ice_bath_comes_first_and_lasts_until_the_first_limit_at_the_slow_end(self) -> None:
        batch_kitchen_make(ice_bath=True, stir_min=Decimal(10), depth_cm=Decimal(3))
        one = cycle()
        assert [stage.air_movement for stage in one.stages] == [ICE_BATH, "still"]
        bath = one.stages[0]
        assert bath.stage.stirred_every_min == 10
        (first, _) = trial(one.plan).legs
        assert first.slow.met
        assert bath.minutes % 5 == 0
        # The steps state the time in the cold room alone.
        assert one.stated == 240

    def test_an_ice_bath_without_a_cold_stage_lasts_until_it_is_cold(self) -> None:
        batch_kitchen_make(ice_bath=True, depth_cm=Decimal(3))
        RecipeStep.objects.filter(kind="chill").delete()
        catalog_changed()
        one = cycle()
        assert [stage.air_movement for stage in one.stages] == [ICE_BATH]
        cold = trial(one.plan).cold_slow
        assert cold is not None
        assert cold <= one.stages[0].minutes

    def test_an_ice_bath_to_a_stated_temperature_ends_there_at_the_slow_end_and_the_cold_room_follows(self) -> None:
        batch_kitchen_make(ice_bath=True, depth_cm=Decimal(3), bath_to_c=Decimal(30))
        warm = cycle()
        changed(bath_to_c=Decimal(21))
        one = cycle()
        assert [stage.air_movement for stage in one.stages] == [ICE_BATH, "still"]
        assert one.stages[0].minutes > warm.stages[0].minutes
        (first, _) = trial(one.plan).legs
        assert first.slow.minutes is not None
        assert first.slow.minutes <= one.stages[0].minutes

    def test_an_ice_bath_may_go_on_until_it_is_cold_and_the_cold_room_still_follow(self) -> None:
        batch_kitchen_make(ice_bath=True, depth_cm=Decimal(3), bath_to_c=Decimal(5), stir_min=Decimal(10))
        one = cycle()
        assert [stage.air_movement for stage in one.stages] == [ICE_BATH, "still"]
        tried = trial(one.plan)
        assert tried.verdict == "kept"
        assert tried.cold_slow is not None
        assert tried.cold_slow <= one.stages[0].minutes

    def test_an_ice_bath_may_be_stated_by_its_time(self) -> None:
        batch_kitchen_make(ice_bath=True, depth_cm=Decimal(3), bath_min=Decimal(45))
        assert cycle().stages[0].minutes == 45

    def test_an_ice_bath_that_ends_warm_with_nothing_after_it_is_refused(self) -> None:
        batch_kitchen_make(ice_bath=True, depth_cm=Decimal(3), bath_to_c=Decimal(21))
        RecipeStep.objects.filter(kind="chill").delete()
        catalog_changed()
        missing = found().missing
        assert missing is not None
        assert missing.reason.code == "bath_ends_warm"

    def test_an_ice_bath_whose_time_ends_before_it_is_cold_with_nothing_after_it_is_refused(self) -> None:
        batch_kitchen_make(ice_bath=True, depth_cm=Decimal(3), bath_min=Decimal(45))
        RecipeStep.objects.filter(kind="chill").delete()
        catalog_changed()
        missing = found().missing
        assert missing is not None
        assert missing_sentence(missing).startswith("The ice bath after “Boil” ends after 45 min, before it is cold")
        changed(bath_min=Decimal(600), stir_min=Decimal(5))
        assert trial(cycle().plan).verdict == "kept"

    def test_a_blast_chiller_is_the_station_of_the_step_that_follows(self) -> None:
        batch_kitchen_make()
        still = trial(cycle().plan).cold_likely
        Station.objects.filter(code="cold-room").update(air="blast", air_c=Decimal(1))
        catalog_changed()
        blast = trial(cycle().plan).cold_likely
        assert still is not None
        assert blast is not None
        assert blast < still / 2


class TestWhatIsMissing:
    def test_a_hot_step_with_nothing_said_is_asked_about(self) -> None:
        batch_kitchen_make(leaves_c=None, vessel=None)
        missing = found().missing
        assert missing is not None
        assert (missing.reason.code, missing.kind, missing.thing) == ("not_said", "recipe", "custard")

    def test_what_is_used_within_the_hour_does_not_cool_as_a_batch(self) -> None:
        batch_kitchen_make(leaves_c=None, vessel=None, hold_max=Decimal(60))
        RecipeStep.objects.filter(recipe__code="custard", kind="chill").delete()
        catalog_changed()
        assert (found().missing, found().cycles) == (None, ())

    def test_what_its_maker_says_is_safe_at_room_temperature_is_asked_for_no_cooling(self) -> None:
        batch_kitchen_make(leaves_c=None, vessel=None)
        Recipe.objects.filter(code="custard").update(
            shelf_stable=True, shelf_stable_source="Alder laboratory, report 7"
        )
        catalog_changed()
        assert (found().missing, found().cycles) == (None, ())

    def test_no_vessel_no_cold_stage_and_no_air_are_named(self) -> None:
        batch_kitchen_make(vessel=None)
        codes = []
        for change in (
            lambda: changed(vessel=Vessel.objects.get(name="Tub")),
            lambda: Station.objects.filter(code="cold-room").update(air_c=None),
            lambda: RecipeStep.objects.filter(recipe__code="custard", kind="chill").delete(),
        ):
            missing = found().missing
            codes.append(missing and missing.reason.code)
            change()
            catalog_changed()
        missing = found().missing
        assert [*codes, missing and missing.reason.code] == ["no_vessel", None, "no_air", "no_cold_stage"]

    def test_what_is_mixed_cold_is_not_asked_about(self) -> None:
        batch_kitchen_make()
        assert found(code="paste").missing is None
        assert found(code="paste").cycles == ()


class TestThePage:
    def test_a_failure_is_called_one_with_depth_limits_and_the_stated_wait(self, owner: Client) -> None:
        batch_kitchen_make()
        shown = page(owner)
        assert "Tub, 2.3 in deep" in shown
        assert "Does not meet the rule." in shown
        assert "135 °F to 70 °F 2 h 3 h 52 min" in shown
        assert "your steps state only 4 h." in shown

    def test_what_would_keep_it_is_worked_out(self, owner: Client) -> None:
        batch_kitchen_make()
        shown = page(owner)
        assert "Divided over" in shown
        assert "1 × Tub in an ice bath to 70 °F first, stirred every 10 min" in shown
        assert "In Hotel pan, 0.6 in deep" in shown
        remedies = batch_report("custard", KG).cycles[0].remedies
        assert remedies is not None
        assert remedies.tried[0].helps
        # Those that help come first, then those that do at the likely figures.
        helping = [(remedy.helps, remedy.may_help) for remedy in remedies.tried]
        assert helping == sorted(helping, reverse=True)

    def test_the_amount_decides_and_may_be_written_as_people_do(self, owner: Client) -> None:
        batch_kitchen_make()
        assert "0.6 in deep" in page(owner, "1 3/8 lb")

    def test_an_amount_that_cannot_be_read_is_reported_and_stays(self, owner: Client) -> None:
        batch_kitchen_make()
        pk = Recipe.objects.get(code="custard").pk
        response = owner.get(reverse("recipe-cooling", args=[pk]), {"amount": "three tubs"})
        assert response.status_code == 422
        assert 'value="three tubs"' in response.content.decode()
        assert "kg" in page_text(response)

    def test_what_is_missing_leads_to_where_it_is_said(self, owner: Client) -> None:
        recipe = batch_kitchen_make(leaves_c=None, vessel=None)
        response = owner.get(reverse("recipe-cooling", args=[recipe.pk]))
        assert "“Boil” makes it hot, and what it cools in is not stated." in page_text(response)
        assert reverse("recipe-answers", args=[recipe.pk]) in response.content.decode()

    def test_the_kitchen_reads_it_without_links_it_may_not_open(self, owner: Client) -> None:
        recipe = batch_kitchen_make()
        response = signed_in(KITCHEN).get(reverse("recipe-cooling", args=[recipe.pk]))
        assert "Does not meet the rule." in page_text(response)
        assert reverse("recipe-edit", args=[recipe.pk]) not in response.content.decode()

    def test_a_recipe_nothing_heats_says_so(self, owner: Client) -> None:
        batch_kitchen_make()
        pk = Recipe.objects.get(code="paste").pk
        assert "It does not cool as a batch." in page_text(owner.get(reverse("recipe-cooling", args=[pk])))

    @pytest.mark.parametrize("wild", WILD)
    def test_no_amount_breaks_it(self, owner: Client, wild: str) -> None:
        recipe = batch_kitchen_make()
        assert owner.get(reverse("recipe-cooling", args=[recipe.pk]), {"amount": wild}).status_code < 500

    def test_a_thick_pot_left_standing_gets_no_time_at_the_slow_end(self, owner: Client) -> None:
        batch_kitchen_make()
        Vessel.objects.filter(name="Tub").update(
            kind="pot", length_cm=None, width_cm=None, diameter_cm=Decimal(30), height_cm=Decimal(30), wall="metal"
        )
        catalog_changed()
        shown = page(owner, "16 kg")
        assert "No time can be planned for it" in shown
        assert "Divide it over more or shallower vessels, or stir it in an ice bath." in shown


class TestForLists:
    def test_each_amount_is_worked_out_once_for_a_book_and_without_a_query(
        self, django_assert_num_queries: DjangoAssertNumQueries
    ) -> None:
        batch_kitchen_make()
        book = book_current()
        with django_assert_num_queries(0):
            (first,) = batch_colds([("custard", KG), ("paste", KG)], book)
            (again,) = batch_colds([("custard", KG)], book)
        assert first is again
        assert first.times[0].trial.verdict == "not kept"

    def test_the_report_takes_the_same_few_queries_whatever_is_in_it(
        self, django_assert_num_queries: DjangoAssertNumQueries
    ) -> None:
        batch_kitchen_make()
        book_current()
        with django_assert_num_queries(2):
            batch_report("custard", KG)


def test_a_plan_for_more_vessels_than_there_are_does_not_read_as_good(owner: Client) -> None:
    custard = batch_kitchen_make(depth_cm=Decimal(1))
    Vessel.objects.filter(name="Tub").update(owned=1)
    catalog_changed()
    page = owner.get(reverse("recipe-cooling", args=[custard.pk]), {"amount": "4 kg"}).content.decode()
    assert "the kitchen has 1." in page
    assert 'class="note good"' not in page


def test_a_batch_under_its_lid_is_not_computed_as_open() -> None:
    batch_kitchen_make()
    bare = cycle()
    changed(covered=True)
    lidded = cycle()
    assert (bare.plan.surroundings.lid, lidded.plan.surroundings.lid) == (False, True)
    assert lidded.plan.stages[-1].h_top < bare.plan.stages[-1].h_top


def test_a_recipe_that_leaves_hot_says_on_its_page_at_once_what_is_not_entered() -> None:
    custard = batch_kitchen_make(vessel=None)
    owner = signed_in("owner")
    address = reverse("recipe", args=[custard.pk])
    page = owner.get(address).content.decode()
    assert "Nothing checks yet how it cools." in page
    assert "Choose the vessel it cools in after “Boil”." in page
    assert f'href="{reverse("recipe-answers", args=[custard.pk])}"' in page
    custard.steps.filter(name="Boil").update(vessel=Vessel.objects.get(name="Tub"))
    catalog_changed()
    assert "Nothing checks yet how it cools." not in owner.get(address).content.decode()
