"""The day page of a new kitchen leads to the first quote, and the list is gone once one is sent."""

import pytest
from django.test import Client

from catalog.first_steps.selectors import first_steps
from catalog.web.access import KITCHEN
from tests import factories

pytestmark = pytest.mark.django_db
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
    assert [step.code for step in first_steps() if not step.done] == ["quote"]
    page = client.get("/").content.decode()
    assert TITLE in page
    assert '<a class="main" href="/inquiries/new/">A first quote</a>' in page


def test_the_list_is_gone_once_a_quote_is_sent(client: Client) -> None:
    factories.kitchen_make()
    factories.sent_make()
    client.force_login(factories.user_make())
    assert TITLE not in client.get("/").content.decode()


def test_it_is_the_owners(client: Client) -> None:
    client.force_login(factories.user_make(KITCHEN))
    assert TITLE not in client.get("/").content.decode()
