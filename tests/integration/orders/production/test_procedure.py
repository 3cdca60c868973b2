"""The kitchen's written procedure: from its products' steps, its rule, its times out of the cold and who checks."""

import io
import re
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.kitchen.models import Kitchen
from catalog.molds.models import Mold
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from catalog.products.models import Product, ProductStep
from catalog.rates.models import Role, Station
from catalog.recipes.models import Recipe, RecipeStep
from catalog.vessels.models import Vessel
from orders.documents.models import PreparedFile
from orders.production.procedure import Unanswered, procedure
from orders.production.procedure_content import procedure_content
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import cooling_kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in, text

pytestmark = pytest.mark.django_db
TART = "Custard tart, 10 cm"


def shown(role: str = "kitchen") -> str:
    answer = signed_in(role).get(reverse("procedure"))
    assert answer.status_code == 200
    return text(answer)


class TestUnitedStates:
    def test_it_names_the_foods_their_start_mark_limit_and_what_is_thrown_away(self) -> None:
        cooling_kitchen_make()
        page = shown()
        assert "Time as a public health control: written procedure" in page
        begins = f"{TART} After “Bake” at 176 °F (round, 3.9 in across, 0.9 in high); then “Cool on the"
        assert f"{begins} rack” in the kitchen at 75 °F, 1 h; “Set in" in page
        assert "measure the core of a piece: 41 °F or colder." in page
        assert "Mark each box or tray when it leaves the cold: the time it left, and the time 4 h later" in page
        assert "It is eaten or thrown away within 4 h of leaving the cold" in page
        assert "Up to 6 h only for food that is monitored with a probe and never gets above 70 °F" in page
        assert "Throw away what is not marked, or is past the time marked on it." in page
        assert "135 to 70 °F within 2 hours, to 41 °F within 6 hours in all" in page

    def test_it_says_what_is_asked_in_writing_and_that_adoption_differs(self) -> None:
        cooling_kitchen_make()
        page = shown()
        assert "written procedures are prepared in advance, kept in the kitchen and shown on request." in page
        assert "US Food Code 3-501.19(A), as enacted in 16 Del. Admin. Code 3-501.19." in page
        assert "text was read" not in page, "how a text was read is the program's, not the kitchen's to say"
        assert "The authority decides whether time may be used" in page

    def test_a_stricter_limit_of_the_house_takes_the_place_of_both_times(self) -> None:
        cooling_kitchen_make(time_out_minutes=120, time_out_source="Our food safety plan")
        page = shown()
        assert "within 2 h of leaving the cold" in page
        assert "Your own limit: Our food safety plan." in page
        assert "Up to 6 h" not in page

    def test_food_that_breaks_the_cooling_rule_is_not_sold_under_it_until_it_is_measured(self) -> None:
        cooling_kitchen_make(diameter_cm="25", height_cm="7.5", leaves_c="68")
        page = shown()
        assert "do not sell it under this procedure until it is measured." in page
        assert f"{TART}: by the estimate the cooling rule is not met. Its row says why." in page

    def test_what_freezes_first_cannot_be_judged_and_is_not_settled(self) -> None:
        cooling_kitchen_make(diameter_cm="25", height_cm="7.5", leaves_c="68", air_c="-18")
        page = shown()
        assert "Not settled: do not sell it under this procedure." in page
        assert f"{TART}: the outside freezes before the core is cold, so the rule cannot be judged." in page

    def test_what_needs_more_vessels_than_there_are_is_not_settled(self) -> None:
        batch_kitchen_make(depth_cm=Decimal(1), profile={"diameter_cm": "12", "height_cm": "1.2"})
        Vessel.objects.filter(name="Tub").update(owned=1)
        catalog_changed()
        page = shown()
        settled = page[page.index("Not settled") : page.index("Not settled") + 400]
        assert f"Baked custard; {TART}; " in settled
        assert ": Needs" in settled
        assert "and the kitchen has 1. In fewer vessels it may not be cold in time." in settled

    def test_what_is_made_from_it_is_not_named_once_more_for_its_batch(self) -> None:
        batch_kitchen_make(depth_cm=Decimal(1), profile={"diameter_cm": "12", "height_cm": "1.2"})
        Vessel.objects.filter(name="Tub").update(owned=1)
        tart = Product.objects.get(name=TART)
        tart.steps.exclude(kind="bake").delete()
        tart.steps.update(name="Fill", kind="fill", leaves_c=None, temperature_c=None, station=None)
        Product.objects.update(holding="", load=1)
        catalog_changed()
        settled = shown().partition("Not settled: do not sell it")[2].partition("Desserts that are cooled")[0]
        assert f"Baked custard; {TART}; " in settled
        assert "a batch that goes in" not in settled

    def test_a_product_whose_load_takes_more_molds_than_there_are_is_not_settled(self) -> None:
        cooling_kitchen_make()
        Product.objects.filter(name=TART).update(load=12)
        Mold.objects.update(owned=6)
        catalog_changed()
        page = shown()
        assert "Not settled" in page
        assert f"{TART}: one load needs 12 × Tart ring, and the kitchen has 6." in page
        Mold.objects.update(shape="tray", length_cm=Decimal(40), width_cm=Decimal(30))
        catalog_changed()
        assert procedure().molds_short == ()
        Mold.objects.update(shape="round", owned=12)
        catalog_changed()
        assert procedure().molds_short == ()

    def test_what_never_gets_cold_is_mended_first(self) -> None:
        cooling_kitchen_make()
        Station.objects.filter(code="cold-room").update(air_c="4.5")
        catalog_changed()
        assert "By the estimate it may never get to 41 °F there: fix that first." in shown()

    def test_what_it_does_not_cover_is_named(self) -> None:
        cooling_kitchen_make()
        Product.objects.filter(name=TART).update(mold=None)
        catalog_changed()
        page = shown()
        assert f"{TART} Held at 41 °F or colder. Its cooling has no estimate: measure it each time." in page
        assert "Not settled: do not sell it under this procedure." in page
        assert page.index("Not settled: do not sell") < page.index("Desserts that are cooled or held cold")

    def test_a_hot_step_that_no_step_answers_stands_first(self) -> None:
        """A cake that is baked, cooled nobody says how, and layered at 9 °C: its bake is not left out."""
        tart = cooling_kitchen_make()
        tart.steps.filter(kind="bake").update(leaves_c=None)
        tart.steps.filter(name="Cool on the rack").update(leaves_c=Decimal(9))
        catalog_changed()
        page = shown()
        words = f"{TART}, “Bake”: its temperature then, and how it gets cold, are not stated."
        assert page.index("Not settled: do not sell it") < page.index(words) < page.index("Desserts that are cooled")

    def test_milk_and_egg_that_nobody_keeps_cold_is_not_left_to_the_kitchen(self) -> None:
        tart = cooling_kitchen_make()
        tart.steps.all().delete()
        Product.objects.filter(pk=tart.pk).update(holding="")
        catalog_changed()
        page = shown()
        assert page.index("Not settled: do not sell it") < page.index(TART)
        assert "Whether it needs the cold is for the kitchen to say" not in page

    def test_a_warm_thing_that_nothing_cools_is_not_covered(self) -> None:
        cooling_kitchen_make()
        ProductStep.objects.filter(kind="chill").delete()
        catalog_changed()
        page = shown()
        assert f"{TART}: its cooling has no estimate." in page
        assert "No product for sale states a temperature in a step, or that it is held cold." in page

    def test_each_food_says_its_limits_and_who_measures_them(self) -> None:
        tart = cooling_kitchen_make()
        tart.steps.filter(kind="bake").update(role=Role.objects.get(code="pastry"))
        catalog_changed()
        assert "70 °F within 2 h, 41 °F within 6 h after “Bake”. Measured by: pastry." in shown()

    def test_a_missed_limit_says_what_is_done_and_there_is_a_record_for_it(self) -> None:
        cooling_kitchen_make()
        page = shown()
        assert "Not at 70 °F within 2 h: The US Food Code's cooling section does not mention a second attempt." in page
        assert "Not at 41 °F within 6 h: Discard it." in page
        assert "Record of cooling Date Food, vessel Start, °F Time at 70 °F Time at 41 °F If missed:" in page

    def test_a_dessert_that_its_text_holds_cold_is_covered_too(self) -> None:
        cooling_kitchen_make().steps.update(leaves_c=None)
        Product.objects.filter(name=TART).update(holding="Keep at 41 °F.")
        catalog_changed()
        assert f"{TART} Keep at 41 °F. at most 4 h" in shown()


class TestBatches:
    def test_a_batch_says_its_steps_vessel_depth_limits_and_who_measures(self) -> None:
        batch_kitchen_make(depth_cm=Decimal(4))
        page = shown()
        assert "For a full batch of each; the day’s prep list has the amounts of the orders." in page
        begins = r"Baked custard about 7 lb 2 oz, one batch After “Boil” at 176 °F "
        vessel = r"\(2 × Tub, 1\.5 in deep, about 3 lb 9 oz in each\); "
        then = r"then “Set in the cold” in cold-room at 37 °F, 4 h\. "
        verdict = (
            "By the estimate it does not meet the rule: do not sell it under this procedure until it is measured. "
        )
        limits = "70 °F within 2 h, 41 °F within 6 h after “Boil”. Measured by: pastry."
        assert re.search(begins + vessel + then + verdict + limits, page)

    def test_an_ice_bath_says_how_often_it_is_stirred(self) -> None:
        batch_kitchen_make(ice_bath=True, stir_min=Decimal(5))
        assert re.search(
            r"then an ice bath, stirred every 5 min, for about [\dh min]+, [^;]+ of ice or more; “Set in the cold”",
            shown(),
        )

    def test_a_batch_that_never_gets_cold_is_not_left_to_a_probe(self) -> None:
        batch_kitchen_make(depth_cm=Decimal(4), profile={"air_c": "12"})
        page = shown().partition("Batches that are made hot")[2].partition("What stands")[0]
        assert "By the estimate it may never get to 41 °F there: fix that first." in page
        assert "it is not sold under this procedure until it is measured" not in page

    def test_a_batch_nobody_said_how_to_cool_is_measured_each_time(self) -> None:
        batch_kitchen_make(vessel=None)
        page = shown()
        assert "Its cooling has no estimate: measure it each time. See “Not settled” at the top." in page

    def test_what_is_used_warm_says_until_when(self) -> None:
        recipe = batch_kitchen_make(leaves_c=None, vessel=None, hold_max=Decimal(45))
        recipe.steps.exclude(name="Boil").delete()
        catalog_changed()
        page = shown()
        assert "used warm, within 45 min of “Boil”. What is left then is discarded." in page

    def test_what_waits_longer_than_it_may_be_out_is_in_the_cold_meanwhile(self) -> None:
        recipe = batch_kitchen_make(kind="mix", leaves_c=None, vessel=None, hold_max=Decimal(720))
        recipe.steps.exclude(name="Boil").delete()
        catalog_changed()
        assert "held at most 12 h after “Boil”, at most 4 h of it out of the cold." in shown()

    def test_a_recipe_that_is_safe_at_room_temperature_is_named(self) -> None:
        recipe = batch_kitchen_make()
        Recipe.objects.filter(pk=recipe.pk).update(shelf_stable=True, shelf_stable_source="Alder laboratory, report 7")
        RecipeStep.objects.filter(recipe=recipe).update(leaves_c=None, vessel=None)
        catalog_changed()
        assert f"{recipe.name}: safe at room temperature. Source: Alder laboratory, report 7." in shown()


class TestPartsOfAFood:
    WORDS = "Baked custard, a batch that goes in: By the estimate it does not meet the rule: do not sell it"

    def test_a_foods_row_names_its_failing_batch_and_leads_to_its_row(self) -> None:
        batch_kitchen_make(depth_cm=Decimal(4))
        page = signed_in("kitchen").get(reverse("procedure")).content.decode()
        row = page.partition(f"<strong>{TART}</strong>")[2].partition("</tr>")[0]
        assert self.WORDS in row
        assert '<a href="#batch-custard">See its row below</a>' in row
        assert '<tr id="batch-custard">' in page

    def test_a_batch_of_which_nothing_states_how_it_cools_is_named_too(self) -> None:
        batch_kitchen_make(vessel=None)
        row = shown().partition(TART)[2].partition("Batches that are made hot")[0]
        assert "Baked custard, a batch that goes in, has no estimate of its cooling. It is named by itself." in row

    def test_a_food_without_a_row_is_not_settled_while_its_batch_fails(self) -> None:
        batch_kitchen_make(depth_cm=Decimal(4))
        tart = Product.objects.get(name=TART)
        tart.steps.exclude(kind="bake").delete()
        tart.steps.update(kind="fill", leaves_c=None, temperature_c=None, station=None)
        Product.objects.update(holding="")
        catalog_changed()
        not_settled = shown().partition("Not settled: do not sell it")[2].partition("Desserts that are cooled")[0]
        assert f"{TART}: {self.WORDS}" in not_settled


class TestOtherRules:
    @pytest.mark.parametrize(
        ("food_safety", "words"),
        [
            ("eu", "Keep it cold until it is served: the rule states no time out of the cold"),
            ("eu", "5 °C or colder, the kitchen’s own limit, because the rule states no temperature."),
            ("eu", "No requirement for a written procedure was found in the text named here."),
            ("au", "It may go back into the cold if it was out for less than 2 h"),
            ("au", "They are kept for 3 months."),
            ("nz", "each batch that is cooled is recorded for the verifier"),
            ("uk-ni", "less than 4 h after leaving the cold"),
            ("ca", "British Columbia asks for written food safety procedures"),
            ("ca-nb", "60 to 20 °C within 2 hours, to 4 °C within 6 hours in all"),
        ],
    )
    def test_each_says_what_its_texts_say(self, food_safety: str, words: str) -> None:
        cooling_kitchen_make(food_safety=food_safety, degrees="C")
        page = shown()
        assert words in page
        assert "Cooling and time out of the cold: written procedure" in page
        assert "Washington" not in page

    def test_a_limit_of_the_house_is_its_time_with_its_source(self) -> None:
        cooling_kitchen_make(food_safety="eu", degrees="C", time_out_minutes=90, time_out_source="Letter of the office")
        page = shown()
        assert "at most 1 h 30 min" in page
        assert "Your own limit: Letter of the office." in page


class TestWhoChecks:
    def test_the_owners_sentence_stands_there(self) -> None:
        cooling_kitchen_make(checks_note="Whoever packs takes the temperature and writes it on the label.")
        assert "Who checks Whoever packs takes the temperature and writes it on the label." in shown()

    def test_without_one_there_is_a_line_to_write_on(self) -> None:
        cooling_kitchen_make()
        assert "Checked by ____" in shown()


class TestFile:
    def made(self, **profile: Any) -> PdfReader:
        cooling_kitchen_make(**profile)
        client = signed_in("kitchen")
        answer = client.post(reverse("procedure-pdf"))
        file = PreparedFile.objects.get(kind="procedure_file")
        assert answer["Location"] == reverse("procedure-file", args=[file.pk])
        assert client.get(answer["Location"]).status_code == 202
        row = Outbox.objects.get(kind="procedure_file")
        assert outbox_run(row_id=row.pk, at=timezone.now())
        body = b"".join(client.get(answer["Location"]).streaming_content)  # type: ignore[arg-type]  # a stream
        return PdfReader(io.BytesIO(body))

    def test_the_pdf_says_what_the_page_says(self) -> None:
        wording = " ".join(" ".join(page.extract_text() for page in self.made().pages).split())
        assert "Time as a public health control: written procedure" in wording
        assert "41 °F or colder" in wording
        assert "Throw away what is not marked, or is past the time marked on it." in wording
        assert "The authority decides whether time may be used" in wording

    def test_it_is_on_the_kitchens_paper(self) -> None:
        assert round(float(self.made(paper="A4").pages[0].mediabox.width)) == 595

    def test_a_dessert_that_its_text_holds_cold_is_covered_where_no_time_out_is_stated(self) -> None:
        cooling_kitchen_make(food_safety="eu", degrees="C").steps.update(leaves_c=None)
        Product.objects.filter(name=TART).update(holding="Keep at 5 °C.")
        catalog_changed()
        page = shown()
        assert f"{TART} Keep at 5 °C. kept cold until it is served" in page
        assert f"{TART}: no step says" not in page
        assert f"{TART}, " not in page.partition("Not covered by this procedure:")[2].partition("How it is cooled")[0]


class TestPlaces:
    def test_it_is_reached_from_the_sheets_and_the_profile(self) -> None:
        cooling_kitchen_make()
        client = signed_in()
        for name in ("sheets", "kitchen-profile"):
            assert f'href="{reverse("procedure")}"' in client.get(reverse(name)).content.decode()

    def test_a_catalog_with_an_error_is_named_and_nothing_is_made(self) -> None:
        cooling_kitchen_make()
        Kitchen.objects.all().delete()
        catalog_changed()
        assert "It cannot be made." in shown()


def test_what_is_open_of_several_foods_in_the_same_way_is_written_once() -> None:
    cooling_kitchen_make()
    found = procedure()
    bake = next(step for step in book_current().product("custard-tart").steps if step.name == "Bake")
    one = Unanswered("Custard tart", bake)
    content = procedure_content(replace(found, molds_short=(), unanswered=(one, replace(one, name="Quince tart"))))
    words = "Custard tart and Quince tart, “Bake”: its temperature then, and how it gets cold, are not stated."
    assert content.unanswered == (words,)


def test_what_is_not_settled_breaks_across_pages() -> None:
    cooling_kitchen_make()
    Product.objects.filter(name=TART).update(mold=None)
    catalog_changed()
    page = signed_in("kitchen").get(reverse("procedure")).content.decode()
    assert '<div class="note stop long"><p><strong>Not settled' in page
