"""The customer's pages: what they show, what they accept, and what they refuse."""

from collections.abc import Callable, Iterator
from datetime import timedelta
from functools import partial
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from icalendar import Calendar

from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from orders.approvals.files import approval_document
from orders.approvals.links import link_create
from orders.approvals.messages import MESSAGES_A_DAY
from orders.approvals.models import Approval, Link, Message
from orders.approvals.services import ApprovalEvidence, quote_approve, quote_decline
from orders.documents.content import content_read
from orders.orders.models import Order
from orders.quotes.files import quote_document
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_revise, quote_withdraw
from orders.records.states import QuoteStatus
from tests.factories import BY, approved_make, kitchen_make, sent_make
from tests.integration.orders.private_link import entered
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db
Enter = Callable[[Quote], Client]


@pytest.fixture(autouse=True)
def fresh() -> Iterator[None]:
    kitchen_make(payment_details="By transfer to Marrow Lane Bank, account 00012345.", cancellation_terms="No refunds.")
    cache.clear()
    yield
    cache.clear()


@pytest.fixture
def enter(client: Client) -> Enter:
    """Return a function that logs in with a new link."""
    return partial(entered, client)


def text(answer: Any) -> str:
    return str(answer.content.decode())


def approve(client: Client, quote: Quote, **changes: str) -> Any:
    form = {"name": "Ida Fenwick", "content_sha256": quote.content_sha256, **changes}
    return client.post(reverse("quote-page-approve", args=[quote.pk]), form, headers={"User-Agent": "A phone"})


def test_the_page_says_what_when_where_how_much_and_how_to_answer(enter: Enter) -> None:
    quote = sent_make(allergy_note="A guest carries a pen.")
    page = text(enter(quote).get(f"/q/{quote.pk}/"))
    for part in (
        "Wedding of Ida and Jonas",
        "Saturday, February 6, 2027, 3:30\xa0PM to 4:00\xa0PM",
        "The Old Ropewalk, West Orrin",
        "78 × Custard tart, 10 cm",
        "250 servings",
        "Contains eggs, milk and wheat",
        "Not for them: Walnut sponge cake, two tiers (contains walnuts). The other 3 are free of ",
        "A guest carries a pen.",
        "traces of other allergens are possible",
        "$1,958.76",
        "Sales tax (Food), 8% of $1,772.00",
        "Deposit: <strong>$587.63</strong>, within ",
        "No refunds.",
        "Valid until ",
        '<span class="total">$1,958.76</span> tax included',
        "Review and approve",
        "Nothing is ordered until you approve.",
        "Ask for a change",
        "Decline quote",
    ):
        assert part in page, part


def test_the_check_page_shows_the_statement_and_the_kitchens_own_words_on_the_button(enter: Enter) -> None:
    Kitchen.objects.filter(pk=1).update(approve_button="Order with obligation to pay")
    quote = sent_make()
    page = text(enter(quote).get(f"/q/{quote.pk}/approve/"))
    assert '<button class="main">Order with obligation to pay</button>' in page
    assert "commit to pay a total of $1,958.76" in page
    assert "Balance: <strong>$1,371.13</strong>, " in page
    assert quote.content_sha256 in page


def test_a_yes_leads_to_a_confirmation_that_survives_coming_back(enter: Enter) -> None:
    quote = sent_make()
    client = enter(quote)
    answer = approve(client, quote)
    assert answer["Location"] == f"/q/{quote.pk}/"
    for _ in range(2):
        page = text(client.get(answer["Location"]))
        order = Order.objects.get(quote=quote)
        for part in (
            f'<strong class="ref">{order.number}</strong>',
            "What happens next",
            "The deposit of <strong>$587.63</strong> is due by",
            "account 00012345",
            "Please tell us the final number of guests by Wednesday, January 27, 2027",
            "Add the day to your calendar",
        ):
            assert part in page, part
    given = Approval.objects.get()
    assert (given.link_id, given.ip, given.user_agent) == (Link.objects.get().pk, "127.0.0.1", "A phone")


def test_the_back_button_and_a_double_click_approve_once(enter: Enter) -> None:
    quote = sent_make()
    client = enter(quote)
    answers = [approve(client, quote) for _ in range(3)]
    assert {answer["Location"] for answer in answers} == {f"/q/{quote.pk}/"}
    assert Approval.objects.count() == Order.objects.count() == 1
    assert client.get(f"/q/{quote.pk}/approve/")["Location"] == f"/q/{quote.pk}/"


def test_a_missing_name_is_named_and_nothing_is_lost(enter: Enter) -> None:
    quote = sent_make()
    page = text(approve(enter(quote), quote, name=" "))
    assert page.count("Enter your full name, as you would sign.") == 2, "in the summary and at the field"
    assert "<title>Error: " in page
    assert quote.content_sha256 in page
    assert not Approval.objects.exists()


def test_the_way_back_keeps_the_name_for_the_next_visit_and_approves_nothing(enter: Enter) -> None:
    quote, other = sent_make(), sent_make()
    client = enter(quote)
    client.get(reverse("link-login", args=[link_create(quote_id=other.pk, at=timezone.now())]))
    answer = approve(client, quote, back="1", name="Ida F")
    assert answer["Location"] == f"/q/{quote.pk}/"
    assert not Approval.objects.exists()
    assert 'value="Ida F"' in text(client.get(f"/q/{quote.pk}/approve/"))
    assert 'value="Ida F"' not in text(client.get(f"/q/{other.pk}/approve/"))
    approve(client, quote)
    assert client.session["approval_names"] == {}


def test_a_decline_forgets_the_name(enter: Enter) -> None:
    quote = sent_make()
    client = enter(quote)
    approve(client, quote, back="1", name="Ida F")
    client.post(f"/q/{quote.pk}/decline/", {"reason": ""})
    assert Quote.objects.get(pk=quote.pk).status == QuoteStatus.DECLINED
    assert client.session["approval_names"] == {}


def test_the_page_to_approve_has_in_full_what_the_quote_opens_on_request(enter: Enter) -> None:
    quote = sent_make()
    client = enter(quote)
    page, check = text(client.get(f"/q/{quote.pk}/")), text(client.get(f"/q/{quote.pk}/approve/"))
    assert "<summary>If you cancel or plans change</summary>" in page
    assert "<details" not in check
    for words in ("No refunds.", "traces of other allergens are possible", content_read(quote.content).allergen_notice):
        assert words in page
        assert words in check


def test_without_words_of_the_kitchen_a_neutral_sentence_stands_there(enter: Enter) -> None:
    quote = sent_make()
    assert content_read(quote.content).note == ""
    assert "Thank you for asking us. Here is what we would make for you." in text(enter(quote).get(f"/q/{quote.pk}/"))
    approved = approved_make()
    page = text(enter(approved).get(f"/q/{approved.pk}/"))
    assert "Here is what we will make for you." in page
    assert "Here is what we would make for you." not in page


def test_the_page_to_approve_says_in_plain_words_what_its_button_does(enter: Enter) -> None:
    quote = sent_make()
    page = text(enter(quote).get(f"/q/{quote.pk}/approve/"))
    assert "When you press the button at the end, you order these desserts from" in page
    assert "I am authorized to place this order." in page
    assert "Approve and commit to pay" in page


def test_each_dessert_stands_once_with_its_allergens_and_price(enter: Enter) -> None:
    page = text(enter(quote := sent_make()).get(f"/q/{quote.pk}/"))
    table = page[page.index('id="table"') : page.index('id="allergens"')]
    for line in content_read(quote.content).lines:
        assert table.count(line.name) == 1


def test_a_too_long_name_is_kept_in_the_form(enter: Enter) -> None:
    quote = sent_make()
    page = text(approve(enter(quote), quote, name="I" * 121))
    assert "to 120 characters: it has 121" in page
    assert "I" * 121 in page


def _open_form(client: Client, quote: Quote) -> None:
    assert client.get(f"/q/{quote.pk}/approve/").status_code == 200


def test_a_yes_to_what_was_changed_meanwhile_shows_the_new_one(enter: Enter, monkeypatch: pytest.MonkeyPatch) -> None:
    quote = sent_make()
    client = enter(quote)
    _open_form(client, quote)
    newer = quote_send_seen(
        quote_id=quote_revise(quote_id=quote.pk, by=BY, at=timezone.now()).pk, by=BY, at=timezone.now()
    )
    page = text(client.post(reverse("quote-page-approve", args=[quote.pk]), {"name": "Ida"}, follow=True))
    assert "The kitchen changed this quote on" in page
    assert f'href="/q/{newer.pk}/"' in page
    assert not Approval.objects.exists()


def test_a_change_between_the_check_and_the_commit_is_refused_kindly(
    enter: Enter, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The page is read, then the kitchen withdraws, then the yes arrives: the service is the last to look."""
    quote = sent_make()
    client = enter(quote)

    def too_late(**answer: Any) -> Approval:
        quote_withdraw(quote_id=quote.pk, by=BY, at=timezone.now())
        return quote_approve(**answer)

    monkeypatch.setattr("orders.approvals.views.quote_approve", too_late)
    answer = approve(client, quote)
    assert answer.status_code == 409
    assert "The kitchen withdrew this quote on" in text(answer)
    assert "Review and approve" not in text(answer)


def test_a_yes_to_other_content_is_refused_and_the_page_shown_again(enter: Enter) -> None:
    quote = sent_make()
    answer = approve(enter(quote), quote, content_sha256="0" * 64)
    assert answer.status_code == 409
    assert "Read it again before you approve it" in text(answer)


@pytest.mark.parametrize("path", ["approve", "decline"])
def test_a_quote_past_its_day_offers_no_answer_but_a_message(enter: Enter, path: str) -> None:
    quote = sent_make(at=timezone.now() - timedelta(days=60), window_start=timezone.now() + timedelta(days=60))
    client = enter(quote)
    page = text(client.get(f"/q/{quote.pk}/{path}/", follow=True))
    assert "This quote was valid until" in page
    assert "Review and approve" not in page
    assert "Write to the kitchen" in page


def test_a_wish_is_passed_on_once_and_thanked_for(enter: Enter) -> None:
    quote = sent_make()
    client = enter(quote)
    for _ in range(2):
        answer = client.post(f"/q/{quote.pk}/change/", {"text": "Ten more tarts, <b>fewer</b> squares"}, follow=True)
    assert "Message sent.</strong> We will answer. Until then this quote stays as it is." in text(answer)
    assert Message.objects.get().text == "Ten more tarts, <b>fewer</b> squares"


def test_too_many_messages_are_refused_and_the_last_one_stays_in_the_form(enter: Enter) -> None:
    quote = sent_make()
    client = enter(quote)
    for number in range(MESSAGES_A_DAY):
        client.post(f"/q/{quote.pk}/change/", {"text": f"Wish {number}"})
    page = text(client.post(f"/q/{quote.pk}/change/", {"text": "One more wish"}))
    assert "Call them, or write again tomorrow." in page
    assert "One more wish</textarea>" in page
    assert Message.objects.count() == MESSAGES_A_DAY


def test_an_empty_wish_names_what_is_missing(enter: Enter) -> None:
    quote = sent_make()
    assert (
        text(enter(quote).post(f"/q/{quote.pk}/change/", {"text": ""})).count("Write what you would like to change.")
        == 2
    )


def test_a_no_is_taken_with_its_reason_and_shown_afterwards(enter: Enter) -> None:
    quote = sent_make()
    page = text(enter(quote).post(f"/q/{quote.pk}/decline/", {"reason": "We elope."}, follow=True))
    assert "This quote was declined on" in page
    assert Message.objects.get().text == "We elope."


def test_a_no_that_comes_after_a_yes_is_refused_kindly(enter: Enter, monkeypatch: pytest.MonkeyPatch) -> None:
    quote = sent_make()
    client = enter(quote)

    def too_late(**answer: Any) -> Quote:
        quote_approve(
            quote_id=quote.pk,
            content_sha256=quote.content_sha256,
            name="Jonas",
            evidence=ApprovalEvidence(),
            at=timezone.now(),
        )
        return quote_decline(**answer)

    monkeypatch.setattr("orders.approvals.views.quote_decline", too_late)
    answer = client.post(f"/q/{quote.pk}/decline/", {"reason": ""})
    assert answer.status_code == 409
    assert "Jonas approved this" in text(answer)


def test_a_no_from_a_page_left_open_says_that_a_yes_came_first_and_a_second_no_changes_nothing(enter: Enter) -> None:
    approved, declined = approved_make(), sent_make()
    answer = enter(approved).post(f"/q/{approved.pk}/decline/", {"reason": "Too dear."})
    assert answer.status_code == 409
    assert "Already approved." in text(answer)
    client = enter(declined)
    for _ in range(2):
        page = text(client.post(f"/q/{declined.pk}/decline/", {"reason": "Too dear."}, follow=True))
        assert "This quote was declined on" in page
    assert Message.objects.filter(quote=declined).count() == 1


def test_files_are_named_by_us_and_given_as_they_were_made(enter: Enter) -> None:
    quote = approved_make(title='Wedding of "Ida"\r\nX: y')
    client = enter(quote)
    waits = client.get(f"/q/{quote.pk}/approved.pdf")
    assert (waits.status_code, "PDF is being made" in text(waits)) == (202, True)
    stored = quote_document(quote_id=quote.pk, at=timezone.now())
    answer = client.get(f"/q/{quote.pk}/quote.pdf")
    assert answer.content == bytes(stored.body)
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == f'attachment; filename="quote-{quote.number}-revision-1.pdf"'
    assert answer["X-Content-Type-Options"] == "nosniff"
    accepted = approval_document(approval_id=Approval.objects.get().pk, at=timezone.now())
    assert "It is ready." in text(client.get(f"/q/{quote.pk}/approved.pdf?look=1"))
    assert client.get(f"/q/{quote.pk}/approved.pdf").content == bytes(accepted.body)


def test_a_pdf_that_cannot_be_made_is_not_waited_for(enter: Enter) -> None:
    quote = approved_make()
    client = enter(quote)
    assert "PDF is being made" in text(client.get(f"/q/{quote.pk}/approved.pdf"))
    Outbox.objects.update(status=Outbox.Status.FAILED)
    page = text(client.get(f"/q/{quote.pk}/approved.pdf"))
    assert "The PDF could not be made." in page
    assert "being made" not in page


def test_the_calendar_file_is_published_stable_and_safe(enter: Enter) -> None:
    quote = approved_make(title="Wedding; of, Ida\\ and Jon\r\nATTENDEE:mailto:x@example.org")
    client = enter(quote)
    first, second = (client.get(f"/q/{quote.pk}/date.ics") for _ in range(2))
    assert first.content == second.content
    assert first["Content-Type"] == "text/calendar; method=PUBLISH; charset=utf-8"
    calendar = Calendar.from_ical(first.content)
    (event,) = calendar.walk("VEVENT")
    assert calendar["METHOD"] == "PUBLISH"
    assert event.decoded("dtstart") == quote.inquiry.window_start
    assert event.decoded("dtend") == quote.inquiry.window_end
    assert "ATTENDEE" not in event, "RFC 5546 section 3.2.1 forbids it, and nobody smuggles one in"
    assert event["organizer"] == "mailto:kitchen@larkspurlane.example"
    assert all(len(line) <= 75 for line in first.content.split(b"\r\n"))


def test_a_waiting_quote_has_no_calendar_file(enter: Enter) -> None:
    quote = sent_make()
    assert enter(quote).get(f"/q/{quote.pk}/date.ics").status_code == 404
