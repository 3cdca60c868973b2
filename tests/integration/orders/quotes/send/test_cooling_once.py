"""The page that sends a quote says of cooling what there is to say once: above the quote, not beside it again."""

import pytest
from django.test import Client
from django.urls import reverse

from orders.quotes.models import Quote
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import DEEP, MEASURED, cooling_kitchen_make, override_make
from tests.integration.orders.quotes.cooling.drafts import cold_room_at, drafted
from tests.integration.orders.register.test_register import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> Client:
    return signed_in("owner")


def parts_of(owner: Client, quote: Quote) -> tuple[str, str]:
    """Return what is above and in the quote, and the lists of problems and warnings beside it."""
    page = " ".join(owner.get(reverse("quote-send", args=[quote.pk])).content.decode().split())
    beside = "".join(each.partition("</section>")[0] for each in page.split('<section class="issues')[1:])
    return page.replace(beside, "") if beside else page, beside


def test_what_breaks_the_rule_is_said_once(owner: Client) -> None:
    cooling_kitchen_make(**DEEP)
    above, beside = parts_of(owner, drafted())
    assert above.count("is not cold in the time the rule asks for. ") == 1
    assert above.count(">Record what is measured</a>") == 1
    assert "cold in the time" not in beside
    assert "Cooling" not in beside


def test_what_is_measured_instead_is_said_once(owner: Client) -> None:
    cooling_kitchen_make(**DEEP)
    quote = drafted()
    override_make(quote)
    above, beside = parts_of(owner, quote)
    assert above.count(MEASURED) == 1
    assert ">How it cools</a>" in above
    assert MEASURED not in beside
    assert "Cooling" not in beside


def test_what_may_never_get_cold_is_said_once(owner: Client) -> None:
    cooling_kitchen_make(**DEEP)
    cold_room_at("7")
    above, beside = parts_of(owner, drafted())
    assert above.count("may never get to 41 °F") == 1
    assert "never" not in beside


def test_what_takes_long_without_a_limit_is_said_once(owner: Client) -> None:
    batch_kitchen_make(profile={"height_cm": "1.2", "food_safety": "eu", "degrees": "C"})
    above, beside = parts_of(owner, drafted())
    assert above.count("Baked custard: cools in ") == 1
    assert "Baked custard: cools in " not in beside


def test_other_warnings_stay_beside_the_quote(owner: Client) -> None:
    batch_kitchen_make(profile={"height_cm": "1.2", "food_safety": "eu", "degrees": "C"})
    _, beside = parts_of(owner, drafted())
    assert "your rule states no time out of the cold" in beside
