"""What a customer wrote and nobody has read is read by name before production starts, whatever it says."""

import pytest
from django.urls import reverse

from orders.approvals.models import Message
from orders.approvals.services import ApprovalEvidence, quote_ask_change
from orders.inquiries.models import Inquiry
from orders.orders.models import Order
from orders.orders.read_first import read_first
from orders.production.labels import label_file
from orders.quotes.draft.message_needs import messages_open
from orders.records.models import AuditEntry
from orders.records.need_errors import MessagesUnread
from tests.factories import BY, EVENT
from tests.integration.catalog.kitchen_pages import text
from tests.integration.catalog.pantry.test_ingredients import signed_in
from tests.integration.orders.builders import order_make
from tests.refusals import refused
from tests.starting import on_its_first_day, order_start

pytestmark = pytest.mark.django_db
WORDS = "Grandmother swells from the green ones, so nothing with those."


def wrote(order: Order, words: str) -> Message:
    return quote_ask_change(quote_id=order.quote_id, text=words, evidence=ApprovalEvidence(), at=EVENT)


def test_production_starts_once_each_message_is_read(client, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    order = order_make(allergies=())
    seen = on_its_first_day(order, monkeypatch)
    owner = signed_in(client, "owner")
    one, other = wrote(order, "We moved the table to the barn."), wrote(order, "See you on Saturday.")
    page = text(owner.get(reverse("order", args=[order.pk])))
    assert "\u201cWe moved the table to the barn.\u201d: no allergy or diet in it is missing from the order." in page
    sheets = [
        text(owner.get(f"{reverse(name)}?first={EVENT.date()}&last={EVENT.date()}"))
        for name in ("sheet-handover", "sheet-prep", "sheet-recipes")
    ]
    assert all(
        "The customer wrote, and nobody has confirmed the list of allergies and diets since." in sheet
        and one.text in sheet
        for sheet in sheets
    )
    with refused(MessagesUnread, match="See you on Saturday"):
        order_start(order_id=order.pk, read=[one.pk], by=BY, at=EVENT)
    answer = owner.post(reverse("order-start", args=[order.pk]), seen | {"read": [other.pk]})
    assert (answer.status_code, Order.objects.get().status) == (422, "confirmed")
    assert "nobody has read it: \u201cWe moved the table to the barn.\u201d" in text(answer)
    owner.post(reverse("order-start", args=[order.pk]), seen | {"read": [one.pk, other.pk]})
    assert Order.objects.get().status == "in_production"
    assert Message.objects.filter(seen_at=None).count() == 2, "the owner has not stated what they say"
    assert "Nothing about allergies or diets" in text(owner.get(reverse("order", args=[order.pk])))
    assert read_first(Order.objects.get()).messages == ()
    assert AuditEntry.objects.get(document="order", event="start").params["read"] == [one.pk, other.pk]


@pytest.mark.parametrize(
    ("words", "recorded", "waits"),
    [
        ("Two more guests with a peanut allergy are coming, so three in all.", 1, True),
        ("There are 3 guests with a peanut allergy now.", 1, True),
        ("There are 3 guests with a peanut allergy now.", 3, False),
        ("Another cousin has the peanut allergy.", None, True),
        ("You noted the peanut allergy, thank you.", 1, False),
        ("You noted the peanut allergy, thank you.", 2, False),
        ("Opa has the peanut allergy.", 2, True),
        ("Opa has the peanut allergy.", 1, True),
    ],
)
def test_another_number_of_a_known_need_waits_for_an_answer(words: str, recorded: int | None, *, waits: bool) -> None:
    counts = {} if recorded is None else {"peanuts": recorded}
    order = order_make(allergies=("peanuts",), need_counts=counts)
    wrote(order, words)
    assert bool(messages_open(Inquiry.objects.all())) == waits


def test_of_many_plain_messages_the_newest_stand_on_sheets_and_none_on_labels(client) -> None:  # type: ignore[no-untyped-def]
    order, owner = order_make(allergies=()), signed_in(client, "owner")
    for number in range(5):
        wrote(order, f"Plain words {number}.")
    days = f"?first={EVENT.date()}&last={EVENT.date()}"
    sheet = text(owner.get(reverse("sheet-handover") + days))
    assert "Plain words 4." in sheet
    assert "Plain words 1." not in sheet
    assert "and 2 more on the order" in sheet
    page = text(owner.get(reverse("order", args=[order.pk])))
    assert "and 2 more messages" in page
    assert "Plain words" not in label_file([Order.objects.select_related("quote__inquiry__customer").get()]).decode()


@pytest.mark.parametrize("words", ["And her sister too.", "Two more of the same as the bride please."])
def test_words_that_go_on_from_a_known_need_wait_for_an_answer(words: str) -> None:
    order = order_make(allergies=("peanuts",))
    wrote(order, words)
    assert messages_open(Inquiry.objects.all())


def test_they_wait_after_a_message_that_names_a_need_and_else_do_not() -> None:
    order = order_make(allergies=())
    wrote(order, "And her sister too.")
    assert not messages_open(Inquiry.objects.all())
    wrote(order, "Mia cannot eat corn.")
    wrote(order, "And her brother too.")
    assert [one.text for rows in messages_open(Inquiry.objects.all()).values() for one in rows] == [
        "Mia cannot eat corn.",
        "And her brother too.",
    ]


def test_a_message_is_answered_where_all_of_it_is_shown(client) -> None:  # type: ignore[no-untyped-def]
    order, owner = order_make(allergies=()), signed_in(client, "owner")
    wrote(order, f"We moved the table{' to the barn and back' * 12}, and Pia has one more thing.")
    page = text(owner.get(reverse("order", args=[order.pk])))
    assert page.partition("Nothing about allergies or diets")[0].count("and Pia has one more thing.")
