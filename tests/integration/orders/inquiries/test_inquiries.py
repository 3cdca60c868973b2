"""Inquiries: adding, changing, closing, copying and finding them."""

import re
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.selectors import book_current
from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen
from orders.approvals.services import ApprovalEvidence, quote_ask_change, quote_reply
from orders.inquiries import services
from orders.inquiries.models import Customer, Inquiry
from orders.inquiries.selectors import inquiries_listed
from orders.inquiries.services import inquiry_add, inquiry_change, inquiry_close, inquiry_reopen
from orders.quotes.send.services import quote_revise
from orders.quotes.terms.selectors import dates_of
from orders.records.errors import InquiryClosed, InquiryHasQuoteOut
from orders.records.models import AuditEntry
from tests import factories
from tests.databases import is_locked
from tests.integration.forms_on_pages import save_edit
from tests.refusals import refused
from tests.sending import own_read, quote_send_seen

pytestmark = pytest.mark.django_db


def form_data(**values: Any) -> dict[str, Any]:
    """Return the form data of a wedding, as people enter it."""
    return {
        "idempotency_key": "k" * 24,
        "name": "Ida Fenwick",
        "email": "ida@fenwick.example",
        "phone": "555 0188",
        "kind": "private",
        "title": "Wedding of Ida and Jonas",
        "day": "2027-02-06",
        "start": "3:30 pm",
        "end": "16:00",
        "hand_over": "delivery",
        "place": "The Old Ropewalk",
        "distance": "17.4",
        "minutes": "35",
        "crew": "2",
        "setup_minutes": "40",
        "guests": "80",
        "pieces_per_guest": "2.5",
        "budget": "$2,000",
        "allergies": ["tree-nuts"],
        **values,
    }


def test_an_inquiry_taken_down_opens_as_a_sheet_with_a_draft_quote(owner: Client) -> None:
    answer = owner.post(reverse("inquiry-new"), form_data(), follow=True)
    inquiry = Inquiry.objects.get()
    assert answer.redirect_chain == [(reverse("inquiry", args=[inquiry.pk]), 302)]
    assert inquiry.window_start == datetime(2027, 2, 6, 20, 30, tzinfo=ZoneInfo("UTC"))
    assert str(inquiry.km) == "28.0025856"  # 17.4 miles of 1.609344 km
    assert inquiry.budget_minor == 200_000
    assert inquiry.quotes.get().status == "draft"
    assert re.search(r"Inquiry saved at \d+:\d\d\s[AP]M\.", answer.content.decode()), "it stays there"
    assert "Saturday, February 6, 2027, 3:30\xa0PM to 4:00\xa0PM" in answer.content.decode()


@pytest.mark.parametrize(
    ("which", "asked", "not_asked"),
    [("us", "pine-nuts", "celery"), ("eu", "celery", "pine-nuts"), ("us", "gluten", "rye")],
)
def test_guests_allergies_are_asked_for_by_the_kitchens_list(
    owner: Client, which: str, asked: str, not_asked: str
) -> None:
    Kitchen.objects.update(allergen_list=which)
    boxes = re.findall(r'name="allergies" value="([a-z-]+)"', owner.get(reverse("inquiry-new")).content.decode())
    assert asked in boxes
    assert not_asked not in boxes


def test_a_bare_hour_that_ends_a_span_is_the_next_one_after_its_start(owner: Client) -> None:
    owner.post(reverse("inquiry-new"), form_data(start="4pm", end="5"))
    inquiry = Inquiry.objects.get()
    assert inquiry.window_end - inquiry.window_start == timedelta(hours=1)
    page = owner.post(reverse("inquiry-new"), form_data(title="", start="4pm", end="5")).content.decode()
    assert re.search(r'name="end" value="5:00\sPM"', page)
    page = owner.post(reverse("inquiry-new"), form_data(start="4pm", end="5 am")).content.decode()
    assert "is before the start time" in page


def test_the_allergy_notes_say_that_the_customer_reads_them(owner: Client) -> None:
    assert "The customer reads this on the quote." in owner.get(reverse("inquiry-new")).content.decode()


def test_searching_looks_in_all_lists_and_says_in_which_each_is(owner: Client) -> None:
    closed = factories.inquiry_make(title="Regatta supper")
    inquiry_close(inquiry_id=closed.pk, reason="no date", by=factories.BY, at=factories.NOW)
    page = owner.get(reverse("inquiries"), {"show": "open", "search": "regatta"}).content.decode()
    assert "Regatta supper" in page
    assert "List: Closed" in page
    assert "Found in all lists." in page
    assert 'aria-current="page">Open' not in page
    none = owner.get(reverse("inquiries"), {"search": "nobody"}).content.decode()
    assert "All lists were searched." in none


def test_a_double_click_takes_one_inquiry_down(owner: Client) -> None:
    owner.post(reverse("inquiry-new"), form_data())
    owner.post(reverse("inquiry-new"), form_data())
    assert Inquiry.objects.count() == 1


def test_a_known_address_is_the_same_customer_and_only_gaps_are_filled(owner: Client) -> None:
    known = factories.customer_make(phone="")
    owner.post(reverse("inquiry-new"), form_data(name="I. Fenwick", email="IDA@fenwick.example"))
    known.refresh_from_db()
    assert Customer.objects.count() == 1
    assert (known.name, known.phone) == ("Ida Fenwick", "555 0188")


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"title": ""}, "Enter an event name"),
        ({"name": "", "email": ""}, "Enter the customer&#x27;s name"),
        ({"day": "February 31, 2027"}, "a date that exists"),
        ({"start": "5:00 PM"}, "The end time 4:00 PM is before the start time 5:00 PM."),
        ({"day": "2027-03-14", "start": "02:30", "end": "05:00"}, "2:30 AM does not exist on Sunday, March 14, 2027"),
        ({"guests": "many"}, "the number of guests as a number"),
        ({"distance": "-3"}, "The distance must be 0 or more"),
        ({"allergies": ["moon-dust"]}, "Choose allergens from the list"),
        ({"email": "ida at home"}, "Enter a full e-mail address"),
    ],
)
def test_a_wrong_field_is_named_and_all_that_was_typed_stays(owner: Client, wrong: dict[str, Any], words: str) -> None:
    answer = owner.post(reverse("inquiry-new"), form_data(**wrong))
    page = answer.content.decode()
    assert answer.status_code == 200
    assert words in page
    assert "The Old Ropewalk" in page
    assert "2.5" in page
    assert not Inquiry.objects.exists()


def test_what_is_wrong_is_summed_up_in_the_order_of_the_page(owner: Client) -> None:
    page = owner.post(
        reverse("inquiry-new"), form_data(name="", email="", title="", day="", start="", guests="x")
    ).content
    common = (
        "Enter the customer&#x27;s name",
        "Enter an event name",
        "Enter the event date",
        "Enter the start",
        "the number of guests as a",
    )
    places = [page.decode().index(sentence) for sentence in common]
    assert places == sorted(places)


def test_of_a_time_that_comes_twice_the_first_is_meant(owner: Client) -> None:
    owner.post(reverse("inquiry-new"), form_data(day="2027-11-07", start="01:30", end="03:00"))
    assert Inquiry.objects.get().window_start == datetime(2027, 11, 7, 5, 30, tzinfo=ZoneInfo("UTC"))


def test_choosing_a_known_customer_keeps_the_input_and_saves_nothing(owner: Client) -> None:
    known = factories.customer_make()
    before = Inquiry.objects.count()
    page = owner.post(reverse("inquiry-new"), form_data(pick=str(known.pk), name="Fen", email="")).content.decode()
    assert f'name="customer" value="{known.pk}"' in page
    assert "The Old Ropewalk" in page
    assert Inquiry.objects.count() == before


def days_of(inquiry: Inquiry) -> tuple[str, str]:
    """Return the last day and the final count of the inquiry's draft, as it would be sent now."""
    draft = inquiry.quotes.select_related("inquiry").get()
    found = dates_of(draft, kitchen(), at=factories.NOW)
    return str(found.valid_until.date()), str(found.final_count_on)


def test_the_drafts_dates_follow_the_event_unless_stated() -> None:
    factories.kitchen_make()
    inquiry = factories.inquiry_make(window_start=factories.NOW + timedelta(days=3))
    # Three days: the day before the event, January 8.
    assert days_of(inquiry) == ("2027-01-08", "2027-01-08")
    inquiry_change(inquiry_id=inquiry.pk, data=factories.inquiry_data(), by=factories.BY, at=factories.NOW)
    assert days_of(inquiry) == ("2027-01-20", "2027-01-27")
    inquiry.quotes.update(valid_until=factories.NOW + timedelta(days=2), final_count_usual=False)
    sooner = factories.inquiry_data(window_start=factories.NOW + timedelta(days=5))
    inquiry_change(inquiry_id=inquiry.pk, data=sooner, by=factories.BY, at=factories.NOW)
    assert days_of(inquiry) == ("2027-01-08", "None")


def test_a_change_is_saved_and_recorded(owner: Client) -> None:
    inquiry = factories.inquiry_make()
    save_edit(owner, reverse("inquiry-edit", args=[inquiry.pk]), form_data(guests="95"))
    inquiry.refresh_from_db()
    assert inquiry.guests == 95
    assert AuditEntry.objects.filter(document="inquiry", event="change", by=factories.BY).exists()


def test_the_form_shows_the_distance_that_was_typed_in_miles(owner: Client) -> None:
    owner.post(reverse("inquiry-new"), form_data())
    page = owner.get(reverse("inquiry-edit", args=[Inquiry.objects.get().pk])).content.decode()
    assert 'value="17.4"' in page


def test_an_inquiry_with_a_quote_out_is_not_closed() -> None:
    factories.kitchen_make()
    quote = factories.draft_make()
    quote_send_seen(quote_id=quote.pk, by=factories.BY, at=factories.NOW)
    with refused(InquiryHasQuoteOut, match="Withdraw it before"):
        inquiry_close(inquiry_id=quote.inquiry_id, reason="", by=factories.BY, at=factories.NOW)


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_nobody_sends_a_quote_while_its_inquiry_is_closed(monkeypatch: pytest.MonkeyPatch) -> None:
    factories.kitchen_make()
    inquiry = factories.draft_make().inquiry
    locked: list[bool] = []
    monkeypatch.setattr(services, "audit", lambda *_, **__: locked.append(is_locked("orders_quote")))
    inquiry_close(inquiry_id=inquiry.pk, reason="", by=factories.BY, at=factories.NOW)
    assert locked == [True]


def test_a_closed_inquiry_is_changed_only_when_open_again() -> None:
    factories.kitchen_make()
    inquiry = factories.inquiry_make()
    common = {"inquiry_id": inquiry.pk, "by": factories.BY, "at": factories.NOW}
    inquiry_close(reason="booked elsewhere", **common)
    with pytest.raises(InquiryClosed):
        inquiry_change(data=factories.inquiry_data(), **common)
    inquiry_reopen(**common)
    assert inquiry_change(data=factories.inquiry_data(guests=90), **common).guests == 90


def test_a_copy_begins_with_the_same_table_for_other_people() -> None:
    factories.kitchen_make()
    quote = factories.draft_make()
    copy = inquiry_add(
        data=factories.inquiry_data(window_start=factories.EVENT + timedelta(days=70)),
        customer=factories.customer_data(name="Ruth Calder", email="ruth@calder.example"),
        idempotency_key="c" * 24,
        copied_from_id=quote.inquiry_id,
        by=factories.BY,
        at=factories.NOW,
    )
    table = [(line.product.code, line.units, line.share) for line in copy.quotes.get().lines.all()]
    assert table == [(line.product.code, line.units, line.share) for line in quote.lines.all()]
    assert copy.copied_from_id == quote.inquiry_id
    assert copy.quotes.get().number != quote.number


def test_the_list_takes_the_same_queries_for_one_inquiry_and_for_a_page_full(django_assert_num_queries: Any) -> None:
    factories.kitchen_make()
    factories.draft_make()
    with django_assert_num_queries(4):
        assert len(_listed()) == 1
    for number in range(8):
        factories.inquiry_make(title=f"Supper {number}", window_start=factories.EVENT + timedelta(days=number))
    with django_assert_num_queries(4):
        days = [row.inquiry.window_start for row in _listed()]
    assert len(days) == 9
    assert days == sorted(days)


def test_only_contents_of_quotes_that_wait_are_read_for_the_list(django_assert_num_queries: Any) -> None:
    factories.kitchen_make()
    waiting = factories.sent_make()
    quote_revise(quote_id=waiting.pk, by=factories.BY, at=factories.NOW)
    book_current()
    with django_assert_num_queries(7):
        (row,) = _listed()
    assert row.quote is not None
    assert "content" in row.quote.get_deferred_fields()


def _listed(**wanted: Any) -> Any:
    wanted = {"show": "open", "search": "", "page": 1, "at": factories.NOW, **wanted}
    return inquiries_listed(**wanted).object_list


def test_lists_part_what_waits_what_is_over_and_what_is_closed() -> None:
    factories.kitchen_make()
    waiting = factories.draft_make(title="Waiting")
    quote_send_seen(quote_id=waiting.pk, by=factories.BY, at=factories.NOW)
    closed = factories.inquiry_make(title="Closed")
    inquiry_close(inquiry_id=closed.pk, reason="no date", by=factories.BY, at=factories.NOW)
    factories.inquiry_make(title="Over", window_start=factories.NOW - timedelta(days=3))
    found = {show: [str(row.inquiry) for row in _listed(show=show)] for show in ("open", "waiting", "past", "closed")}
    assert found == {"open": ["Waiting"], "waiting": ["Waiting"], "past": ["Over"], "closed": ["Closed"]}


@pytest.mark.parametrize("words", ["ropewalk", "FENWICK", "ida@fenwick", "q-00001", "wedding"])
def test_an_inquiry_is_found_by_place_name_address_and_quote_number(words: str) -> None:
    factories.kitchen_make()
    factories.draft_make()
    assert len(_listed(search=words)) == 1
    assert not _listed(search="nobody of this name")


def test_a_wish_that_waits_for_a_reply_is_marked_in_the_list() -> None:
    factories.kitchen_make()
    quote = factories.draft_make(allergies=())
    quote_send_seen(quote_id=quote.pk, by=factories.BY, at=factories.NOW)
    assert not _listed()[0].change_asked
    quote_ask_change(quote_id=quote.pk, text="Ninety guests", evidence=ApprovalEvidence(), at=factories.NOW)
    assert _listed()[0].change_asked
    reply = {"text": "Gladly", "nothing_named": True, "read": own_read(quote, "Gladly")}
    quote_reply(quote_id=quote.pk, by=factories.BY, at=factories.NOW, **reply)  # type: ignore[arg-type]
    assert not _listed()[0].change_asked


def test_the_sheet_shows_the_table_that_was_sent_when_no_draft_is_at_hand(owner: Client) -> None:
    quote = factories.draft_make()
    quote_send_seen(quote_id=quote.pk, by=factories.BY, at=factories.NOW)
    page = owner.get(reverse("inquiry", args=[quote.inquiry_id])).content.decode()
    assert "78 × Custard tart, 10 cm" in page
    assert "Create another quote" in page


def test_copying_from_the_screen_keeps_the_customer_and_leaves_day_and_allergies_open(owner: Client) -> None:
    quote = factories.draft_make()
    address = reverse("inquiry-copy", args=[quote.inquiry_id])
    page = owner.get(address).content.decode()
    assert f'name="customer" value="{quote.inquiry.customer_id}"' in page
    assert "checked" not in page.partition("Allergies among the guests")[2].partition("What they said")[0]
    owner.post(address, form_data(customer=str(quote.inquiry.customer_id), name="", email="", day="2027-06-12"))
    copy = Inquiry.objects.latest("pk")
    assert copy.copied_from_id == quote.inquiry_id
    assert copy.customer_id == quote.inquiry.customer_id
    assert copy.quotes.get().lines.count() == 4


def test_closing_asks_why_and_opening_again_is_one_click(owner: Client) -> None:
    inquiry = factories.inquiry_make()
    owner.post(reverse("inquiry-close", args=[inquiry.pk]), {"reason": "booked elsewhere"})
    page = owner.get(reverse("inquiry", args=[inquiry.pk])).content.decode()
    assert "booked elsewhere" in page
    owner.post(reverse("inquiry-reopen", args=[inquiry.pk]))
    inquiry.refresh_from_db()
    assert inquiry.closed_at is None


def test_a_customer_is_changed_and_found(owner: Client) -> None:
    person = factories.customer_make()
    address = reverse("customer-edit", args=[person.pk])
    values = {"name": "Ida Fenwick-Hale", "email": "ida@fenwick.example", "kind": "planner", "country": "u9"}
    assert "Enter the country as two letters" in save_edit(owner, address, values).content.decode()
    assert save_edit(owner, address, {**values, "country": "us"}).status_code == 302
    page = owner.get(reverse("customers"), {"search": "hale"}).content.decode()
    assert "Ida Fenwick-Hale" in page
    assert "event planner" in owner.get(reverse("customer", args=[person.pk])).content.decode()


def test_what_was_named_last_time_is_proposed_for_the_next_inquiry(owner: Client) -> None:
    before = factories.inquiry_make(allergies=("peanuts",), need_counts={"peanuts": 1}, allergy_note="One pen.")
    who = {"customer": str(before.customer_id), "name": "", "email": "", "day": "2027-06-12", "allergies": []}
    for address in (
        reverse("inquiry-copy", args=[before.pk]),
        f"{reverse('inquiry-new')}?customer={before.customer_id}",
    ):
        page = " ".join(owner.get(address).content.decode().split())
        assert "Last time:" in page
        assert "“One pen.”" in page
        owner.post(address, form_data(**who, idempotency_key=""))
        assert Inquiry.objects.latest("pk").allergies == []
        owner.post(address, form_data(**who, idempotency_key="", take_needs=str(before.pk)))
        copy = Inquiry.objects.latest("pk")
        assert (copy.allergies, copy.need_counts, copy.allergy_note) == (["peanuts"], {"peanuts": 1}, "One pen.")
        Inquiry.objects.exclude(pk=before.pk).update(received_at=before.received_at - timedelta(days=1))
