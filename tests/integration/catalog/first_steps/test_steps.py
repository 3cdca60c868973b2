"""The day page of a new kitchen leads to the first quote, and the list is gone once one is sent."""

import pytest
from django.test import Client

from catalog.book.revision import catalog_changed
from catalog.first_steps.selectors import OPTIONAL, first_steps
from catalog.first_steps.services import step_skip
from catalog.kitchen.models import Kitchen
from catalog.rates.models import MonthlyCost
from catalog.vessels.models import Vessel
from catalog.web.access import KITCHEN
from orders.inquiries.models import Inquiry
from tests import factories
from tests.batch_kitchen import batch_kitchen_make

pytestmark = pytest.mark.django_db
STEP = "/kitchen/first-steps/"
TITLE = "To your first quote"


def test_a_new_kitchen_is_led_from_its_name_to_a_quote(client: Client) -> None:
    client.force_login(factories.user_make())
    page = client.get("/").content.decode()
    assert TITLE in page
    assert page.count('class="main"') == 1, "one thing is next"
    assert '<a class="main" href="/kitchen/">Your kitchen</a>' in page
    assert not any(step.done for step in first_steps())


def test_what_is_done_is_done_and_what_is_left_is_next(client: Client) -> None:
    factories.kitchen_make()
    factories.draft_make()
    client.force_login(factories.user_make())
    for code in OPTIONAL:
        step_skip(code=code)
    assert [step.code for step in first_steps() if not step.done and not step.skipped] == ["quote"]
    page = client.get("/").content.decode()
    assert TITLE in page
    inquiry = Inquiry.objects.get()
    assert f'<a class="main" href="/inquiries/{inquiry.pk}/">A first quote</a>' in page, "the one being quoted"


def test_a_step_is_skipped_alone_and_taken_up_again(client: Client) -> None:
    client.force_login(factories.user_make())
    assert "Skip" in client.get("/").content.decode()
    page = client.post(STEP, {"skip": "monthly"}, follow=True).content.decode()
    assert {step.code for step in first_steps() if step.skipped} == {"monthly"}
    assert "no overhead is counted" in page
    assert "Undo skip" in page
    taken = client.post(STEP, {"take-up": "monthly"})
    assert taken["Location"] == "/kitchen/figures/"
    assert not any(step.skipped for step in first_steps())


@pytest.mark.parametrize("code", ["kitchen", "figures", "recipe", "product", "quote", "nonsense", "x" * 400])
def test_what_no_quote_can_do_without_is_not_skipped(client: Client, code: str) -> None:
    client.force_login(factories.user_make())
    client.post(STEP, {"skip": code})
    client.post(STEP, {"take-up": code})
    assert not any(step.skipped for step in first_steps())


def test_what_the_page_of_figures_left_empty_is_skipped_and_said(client: Client) -> None:
    client.force_login(factories.user_make())
    Kitchen.objects.create(pk=1, name="Small kitchen", email="kitchen@example.org")
    client.post(
        "/kitchen/figures/", {"tax_rate": "8", "hourly": "22", "margin": "50", "refrigerator_c": "39", "oven": "on"}
    )
    by_code = {step.code: step for step in first_steps()}
    assert {code for code, step in by_code.items() if step.skipped} == {"monthly", "hours", "delivery"}
    assert by_code["stations"].done
    MonthlyCost.objects.create(name="Rent", amount=900, carrier="labour")
    assert not {step.code: step for step in first_steps()}["monthly"].skipped, "what was done is not skipped"


def test_the_list_is_gone_once_a_quote_is_sent(client: Client) -> None:
    factories.kitchen_make()
    factories.sent_make()
    client.force_login(factories.user_make())
    assert TITLE not in client.get("/").content.decode()


def test_it_is_the_owners(client: Client) -> None:
    client.force_login(factories.user_make(KITCHEN))
    assert TITLE not in client.get("/").content.decode()


def test_recipes_that_leave_hot_without_a_word_on_cooling_are_named_until_none_is_left(client: Client) -> None:
    custard = batch_kitchen_make(leaves_c=None, vessel=None)
    client.force_login(factories.user_make())
    page = client.get("/").content.decode()
    assert f'href="/catalog/recipes/{custard.pk}/cooling/answers/">How hot recipes cool</a>' in page
    assert "Not entered yet for: Baked custard." in page
    custard.steps.filter(name="Boil").update(leaves_c=80, vessel=Vessel.objects.get(name="Tub"))
    catalog_changed()
    page = client.get("/").content.decode()
    assert "Not entered yet for" not in page
    assert 'How hot recipes cool</a> <span class="soft">done</span>' in page


def test_what_leaves_hot_and_never_chills_reads_both_ways_out(client: Client) -> None:
    custard = batch_kitchen_make()
    custard.steps.filter(kind="chill").delete()
    catalog_changed()
    client.force_login(factories.user_make())
    page = client.get(f"/catalog/recipes/{custard.pk}/").content.decode()
    assert "No chill step follows “Boil”. Add one, and choose its refrigerator." in page
    assert "check that on its recipe and enter the source that says so" in page
