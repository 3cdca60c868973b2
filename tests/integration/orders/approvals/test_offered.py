"""A quote offers several windows; the customer chooses one, and that is what was approved."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from catalog.products.models import ProductStep
from costing.plan.verdicts import IMPOSSIBLE, UNDECIDED
from orders.approvals.calendar_content import calendar_file
from orders.approvals.files import _context
from orders.approvals.looking import slot_check_ask
from orders.approvals.mails import mail_content
from orders.approvals.models import Approval
from orders.approvals.placing import content_approved
from orders.approvals.quote_page import quote_page
from orders.approvals.services import ApprovalEvidence, quote_approve
from orders.documents.agreed import at_window, content_agreed
from orders.documents.content import canonical, content_read, sha256_of
from orders.inquiries.models import Inquiry
from orders.orders.models import Order
from orders.planning import offered as states
from orders.planning.models import WindowCheck
from orders.planning.offered import TAKEN, WORKS, windows_state
from orders.planning.slots import LOOKING
from orders.quotes.changes import changes_between
from orders.quotes.models import Quote
from orders.quotes.presenters import change_sentences
from orders.quotes.send.services import quote_revise
from orders.records.closed_errors import QuoteEventOver
from orders.records.slot_errors import NoSuchTime, OfferedTaken, OfferedUnsure, TooManyOffered, WindowsChanged
from orders.records.states import QuoteStatus
from tests.factories import BY, EVENT, NOW
from tests.integration.catalog.kitchen_pages import text
from tests.integration.orders.approvals.offered import (
    EARLIER,
    FRIDAY,
    LASTS,
    SUNDAY,
    cakes_draft,
    checked,
    leaves_every_day,
    offering,
    works,
)
from tests.integration.orders.approvals.rings import SOON, approve, cakes, filled, rings_make
from tests.integration.orders.private_link import entered
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def kitchen(small_kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch) -> Kitchen:
    rings_make()
    leaves_every_day()
    monkeypatch.setattr("django.utils.timezone.now", lambda: SOON)
    states._known.clear()
    return small_kitchen


def no_waits() -> None:
    """Let nothing wait between its steps, so that there is room for one table at a time, and that is proved."""
    ProductStep.objects.filter(product__code="walnut-cake").update(hold_max=0)
    catalog_changed()


def chosen(quote: Quote, number: int | None) -> Approval:
    return quote_approve(
        quote_id=quote.pk,
        content_sha256=quote.content_sha256,
        name="Ida",
        evidence=ApprovalEvidence(),
        at=SOON,
        chosen=number,
    )


def test_without_a_choice_the_content_is_as_it_was() -> None:
    quote = cakes()
    assert '"offered"' not in quote.content
    assert sha256_of(canonical(content_read(quote.content))) == quote.content_sha256
    approval = approve(quote)
    quote.refresh_from_db()
    assert (quote.window_chosen, approval.window_start) == (None, None)


def test_the_windows_that_work_are_offered_as_they_are_frozen() -> None:
    quote = offering()
    content = content_read(quote.content)
    assert [one.window_start for one in content.offered] == [EARLIER, SUNDAY]
    assert [one.window_end - one.window_start for one in content.offered] == [LASTS, LASTS]
    assert sha256_of(canonical(content)) == quote.content_sha256
    assert "for Saturday, February 6, 2027, 3:30 PM to 4:00 PM, and commit" in content.statement
    assert "for Saturday, February 6, 2027, 1:30 PM to 2:00 PM, and commit" in content.offered[0].statement
    assert "for Sunday, February 7, 2027, 3:30 PM to 4:00 PM, and commit" in content.offered[1].statement


def test_each_window_has_the_dates_of_its_own_day() -> None:
    """What is counted from the event's day is counted from the day that is chosen."""
    content = content_read(offering().content)
    assert content.final_count_on == date(2027, 1, 27)
    assert [one.final_count_on for one in content.offered] == [date(2027, 1, 27), date(2027, 1, 28)]
    assert content.valid_until == at_window(content, 2).valid_until


def test_the_chosen_window_is_what_was_approved_and_what_is_made() -> None:
    quote = offering()
    approval = chosen(quote, 2)
    order = Order.objects.get(quote=quote)
    assert (order.window_start, order.window_end) == (SUNDAY, SUNDAY + LASTS)
    assert order.final_count_on == date(2027, 1, 28)
    assert (approval.window_start, approval.window_end) == (SUNDAY, SUNDAY + LASTS)
    assert "for Sunday, February 7, 2027, 3:30 PM to 4:00 PM" in approval.statement
    assert approval.content_sha256 == quote.content_sha256
    quote.refresh_from_db()
    assert content_agreed(quote).event.window_start == SUNDAY
    assert content_read(quote.content).event.window_start == EVENT, "what was sent stays as it was sent"
    assert Inquiry.objects.get(pk=quote.inquiry_id).window_start == SUNDAY
    assert b"DTSTART:20270207T203000Z" in calendar_file(order=order, content=content_agreed(quote))
    paper = _context(Approval.objects.select_related("quote__order", "quote__inquiry__customer").get(pk=approval.pk))
    assert paper["content"].event.window_start == SUNDAY
    assert paper["content"].offered == ()


def test_its_mails_and_papers_speak_of_the_chosen_window() -> None:
    quote = offering()
    chosen(quote, 1)
    quote.refresh_from_db()
    row = Outbox.objects.get(kind="mail", payload__mail="kitchen_approved")
    assert mail_content(row, quote).event.window_start == EARLIER


def test_without_a_number_it_is_the_time_that_was_asked_for() -> None:
    quote = offering()
    approval = chosen(quote, None)
    assert Order.objects.get(quote=quote).window_start == EVENT
    assert approval.window_start == EVENT


@pytest.mark.parametrize("number", [-1, 3, 99])
def test_a_time_that_is_not_offered_is_none(number: int) -> None:
    quote = offering()
    with pytest.raises(NoSuchTime):
        chosen(quote, number)
    assert not Order.objects.filter(quote=quote).exists()
    with pytest.raises(NoSuchTime):
        chosen(cakes(), 1)


def test_a_time_that_has_passed_is_not_approved() -> None:
    """The quote's validity ends before each of its times; a clock that was wrong gets no further than here."""
    quote = offering()
    with pytest.raises(QuoteEventOver):
        content_approved(quote, 1, EARLIER)
    assert content_approved(quote, 2, EARLIER).event.window_start == SUNDAY


def test_only_what_works_is_offered() -> None:
    draft = checked(cakes_draft())
    marks = works(draft)
    assert EARLIER in marks.values()
    with pytest.raises(WindowsChanged):
        quote_send_seen(quote_id=draft.pk, by=BY, at=NOW, offered=["12345"])
    with pytest.raises(TooManyOffered):
        quote_send_seen(quote_id=draft.pk, by=BY, at=NOW, offered=list(marks)[:6])
    assert Quote.objects.get(pk=draft.pk).status == QuoteStatus.DRAFT


def test_before_the_time_was_checked_nothing_is_offered() -> None:
    draft = cakes_draft()
    assert works(draft) == {}


def test_a_day_that_is_full_for_the_owner_is_not_offered(kitchen: Kitchen) -> None:
    evening = SUNDAY + timedelta(hours=4)
    approve(cakes(1, window_start=evening, window_end=evening + LASTS))
    assert SUNDAY in works(checked(cakes_draft())).values()
    Kitchen.objects.update(most_events_per_day=1)
    assert SUNDAY not in works(checked(cakes_draft())).values()


def test_a_day_after_the_validity_ends_too_late_is_not_offered() -> None:
    """One validity for all: a time before whose work it would not end is not offered."""
    draft = cakes_draft()
    Quote.objects.filter(pk=draft.pk).update(valid_until=EVENT - timedelta(days=2))
    begins = works(checked(draft)).values()
    assert SUNDAY in begins
    assert EVENT - timedelta(days=2) not in begins


def test_the_owner_checks_the_times_at_review(owner: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    draft = cakes_draft()
    address = reverse("quote-send", args=[draft.pk])
    assert "They are listed here when the check against the other orders is done." in text(owner.get(address))
    checked(draft)
    page = owner.get(address, {"times": "1"})
    assert "Other times to offer" in text(page)
    assert "Sunday, February 7, 2027, 3:30 PM to 4:00 PM Final number of guests by Thursday, January 28, 2027." in text(
        page
    )
    marks = {words: mark for mark, words in works(draft).items()}
    part = owner.get(reverse("quote-offers", args=[draft.pk]), headers={"HX-Request": "true"})
    assert f'value="{marks[SUNDAY]}"' in part.content.decode()
    assert owner.get(reverse("quote-offers", args=[draft.pk])).status_code == 302
    form: dict[str, Any] = {"total_minor": page.context["content"].total_minor, "seen": page.context["seen"]}
    form |= {"allergies": "on", "not_asked": "on", "unstated": page.context["unstated_mark"]}
    form |= {"read": [one.mark for one in page.context["to_read"]], "offered": ["12345"]}
    refused = owner.post(address, form, follow=True)
    assert "A time you checked no longer works." in text(refused)
    owner.post(address, form | {"offered": [marks[SUNDAY]]})
    draft.refresh_from_db()
    assert draft.status == QuoteStatus.SENT
    assert [one.window_start for one in content_read(draft.content).offered] == [SUNDAY]
    record = text(owner.get(reverse("quote", args=[draft.pk])))
    assert "Times to choose from" in record
    assert "Sunday, February 7, 2027, 3:30 PM to 4:00 PM" in record


def test_she_chooses_on_her_page_and_approves(client: Client) -> None:
    quote = offering()
    entered(client, quote)
    page = text(client.get(reverse("quote-page", args=[quote.pk])))
    assert "Choose your time" in page
    for words in ("Saturday, February 6, 2027, 3:30 PM to 4:00 PM", "1:30 PM to 2:00 PM", "Sunday, February 7"):
        assert words in page
    address = reverse("quote-page-approve", args=[quote.pk])
    review = client.get(address, {"window": "2"})
    assert "for Sunday, February 7, 2027, 3:30 PM to 4:00 PM, and commit" in text(review)
    assert "Saturday, February 6" not in text(review)
    assert "by Thursday, January 28, 2027" in text(review)
    form = {"name": "Ida Fenwick", "content_sha256": quote.content_sha256, "window": "2"}
    assert client.post(address, {**form, "back": "1"})["Location"].endswith("?window=2")
    missing = client.post(address, {**form, "name": ""})
    assert "for Sunday, February 7, 2027, 3:30 PM to 4:00 PM, and commit" in text(missing)
    client.post(address, form)
    assert Order.objects.get(quote=quote).window_start == SUNDAY
    approved = text(client.get(reverse("quote-page", args=[quote.pk])))
    assert "Time chosen: Sunday, February 7, 2027, 3:30 PM to 4:00 PM" in approved
    assert "1:30 PM" not in approved


def test_a_number_that_is_none_is_refused_kindly(client: Client) -> None:
    quote = offering()
    entered(client, quote)
    address = reverse("quote-page-approve", args=[quote.pk])
    assert client.get(address, {"window": "nine"}).status_code == 302
    form = {"name": "Ida Fenwick", "content_sha256": quote.content_sha256, "window": "7"}
    page = client.post(address, form)
    assert page.status_code == 409
    assert "Choose one of the times that this quote offers." in text(page)


def test_what_others_took_reads_taken_and_never_by_whom(client: Client) -> None:
    no_waits()
    first, second = offering(FRIDAY), offering(FRIDAY)
    chosen(first, 0)
    entered(client, second)
    states._known.clear()
    content = content_read(second.content)
    assert windows_state(second, content, SOON) == (TAKEN, WORKS)
    shown = client.get(reverse("quote-page", args=[second.pk]))
    assert "Saturday, February 6, 2027, 3:30 PM to 4:00 PM Taken" in text(shown)
    assert 'value="0" disabled' in shown.content.decode()
    assert 'value="1" checked' in shown.content.decode()
    assert first.number not in text(shown)
    review = client.get(reverse("quote-page-approve", args=[second.pk]), {"window": "0"})
    assert review["Location"].endswith("?window=1")
    form = {"name": "Ida", "content_sha256": second.content_sha256, "window": "0"}
    refused = client.post(reverse("quote-page-approve", args=[second.pk]), form)
    assert refused.status_code == 409
    assert "We can no longer make it for Saturday, February 6, 2027, 3:30 PM to 4:00 PM" in text(refused)
    assert "Choose another of its times" in text(refused)
    with pytest.raises(OfferedTaken):
        chosen(second, 0)
    chosen(second, 1)
    assert Order.objects.get(quote=second).window_start == FRIDAY


def test_what_can_be_kept_is_computed_once_while_the_plan_is_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    quote = offering()
    content, asked = content_read(quote.content), []
    computed = states.windows_still_work

    def counted(*args: Any, **facts: Any) -> Any:
        asked.append(args)
        return computed(*args, **facts)

    monkeypatch.setattr(states, "windows_still_work", counted)
    assert windows_state(quote, content, SOON) == windows_state(quote, content, SOON) == (WORKS,) * 3
    assert len(asked) == 1
    approve(cakes(1))
    windows_state(quote, content, SOON)
    assert len(asked) == 2, "another plan"
    plain = cakes()
    windows_state(plain, content_read(plain.content), SOON)
    assert len(asked) == 2, "without a choice nothing is computed"


def test_of_a_chosen_time_that_is_checked_the_answer_names_it(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    quote = offering()
    filled()
    entered(client, quote)
    with pytest.raises(OfferedUnsure):
        chosen(quote, 1)
    form = {"name": "Ida", "content_sha256": quote.content_sha256, "window": "1"}
    page = client.post(reverse("quote-page-approve", args=[quote.pk]), form)
    assert page.status_code == 409
    assert "We have to check whether we can still make it for Saturday, February 6, 2027, 1:30 PM" in text(page)
    assert WindowCheck.objects.get(quote=quote).window_chosen == 1
    shown = text(client.get(reverse("quote-page", args=[quote.pk])))
    assert "We are checking whether we can make it for Saturday, February 6, 2027, 1:30 PM to 2:00 PM." in shown
    for order in Order.objects.all()[:2]:
        Order.objects.filter(pk=order.pk).update(status="canceled")
    for row in Outbox.objects.filter(kind="slot_check", status="waiting"):
        assert outbox_run(row_id=row.pk, at=row.run_after)
    shown = text(client.get(reverse("quote-page", args=[quote.pk])))
    assert "We have checked: we can make it for Saturday, February 6, 2027, 1:30 PM to 2:00 PM." in shown
    row = Outbox.objects.get(kind="mail", payload__mail="time_works")
    slot_check_ask(quote_id=quote.pk, at=SOON, chosen=2)
    assert mail_content(row, quote).event.window_start == EARLIER, "whatever was asked for since"
    chosen(quote, 1)
    assert Order.objects.get(quote=quote).window_start == EARLIER


def test_a_chosen_time_that_is_not_found_is_answered_by_mail_and_on_the_page(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    quote = offering()
    filled()
    # What is looked for long is not found either: there is no room. How long is looked is not what is tested.
    monkeypatch.setattr("orders.approvals.looking.LOOKING", replace(LOOKING, tries=20, iterations=40))
    slot_check_ask(quote_id=quote.pk, at=SOON, chosen=1)
    row = Outbox.objects.get(kind="slot_check")
    assert outbox_run(row_id=row.pk, at=row.run_after)
    kinds = [row.payload["mail"] for row in Outbox.objects.filter(kind="mail", about=f"quote:{quote.pk}")]
    assert kinds[-2:] == ["kitchen_no_time", "time_not_found"]
    mail = Outbox.objects.get(payload__mail="time_not_found")
    assert mail_content(mail, quote).event.window_start == EARLIER
    page = text(entered(client, quote).get(reverse("quote-page", args=[quote.pk])))
    assert "We could not find a way to make it for Saturday, February 6, 2027, 1:30 PM to 2:00 PM yet." in page


def test_another_time_that_is_checked_takes_the_place_of_the_first() -> None:
    quote = offering()
    slot_check_ask(quote_id=quote.pk, at=SOON, chosen=1)
    slot_check_ask(quote_id=quote.pk, at=SOON, chosen=2)
    for row in Outbox.objects.filter(kind="slot_check").order_by("pk"):
        assert outbox_run(row_id=row.pk, at=row.run_after)
    check = WindowCheck.objects.get(quote=quote)
    assert (check.window_chosen, check.answered_at is not None) == (2, True)
    sent = [row.payload["mail"] for row in Outbox.objects.filter(kind="mail", about=f"quote:{quote.pk}")]
    assert sent.count("time_works") == 1


def test_a_revision_begins_with_the_times_that_were_offered(owner: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    quote = offering(SUNDAY)
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    draft = quote_revise(quote_id=quote.pk, by=BY, at=NOW)
    checked(draft)
    page = owner.get(reverse("quote-send", args=[draft.pk]), {"times": "1"}).context["offers"]
    assert [one.words for one in page.rows if one.ticked] == ["Sunday, February 7, 2027, 3:30 PM to 4:00 PM"]
    sent = quote_send_seen(quote_id=draft.pk, by=BY, at=NOW)
    changes = change_sentences(changes_between(content_read(quote.content), content_read(sent.content)))
    assert "Other times to choose from: none." in changes


def test_the_owner_records_which_time_they_chose(owner: Client) -> None:
    quote = offering()
    address = reverse("quote-record-approval", args=[quote.pk])
    assert "Time chosen" in text(owner.get(address))
    form = {"name": "Ida", "how": "phone", "window": ""}
    assert "Choose the time they want." in text(owner.post(address, form))
    owner.post(address, form | {"window": "2"})
    assert Order.objects.get(quote=quote).window_start == SUNDAY
    assert "Time chosen" not in text(owner.get(reverse("quote-record-approval", args=[cakes().pk])))


def test_verdicts_are_read_as_states() -> None:
    assert states._STATES[IMPOSSIBLE] == TAKEN
    assert states._STATES[UNDECIDED] == states.CHECK


def test_a_page_with_a_choice_is_made_with_a_fixed_number_of_queries(
    django_assert_max_num_queries: Any, client: Client
) -> None:
    quote = offering()
    entered(client, quote)
    client.get(reverse("quote-page", args=[quote.pk]))
    with django_assert_max_num_queries(60):
        client.get(reverse("quote-page", args=[quote.pk]))
    assert quote_page(quote_id=quote.pk, link_ids=[], at=SOON) is None
