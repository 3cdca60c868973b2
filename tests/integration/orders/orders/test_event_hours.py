"""The hours of events stay as entered when the kitchen's time zone is corrected."""

from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.kitchen.services import profile_save, profile_version
from catalog.web import display
from orders.approvals.calendar_content import calendar_file
from orders.approvals.links import link_create
from orders.approvals.selectors import why_closed
from orders.approvals.services import ApprovalEvidence, quote_approve
from orders.documents.content import content_read
from orders.inquiries.models import Inquiry
from orders.inquiries.selectors import inquiries_listed
from orders.orders.models import Order
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_revise
from orders.records.models import AuditEntry
from tests.factories import NOW, draft_make, kitchen_make, sent_make
from tests.integration.catalog.kitchen_pages import text
from tests.integration.orders.builders import order_make
from tests.integration.orders.register.test_register import signed_in

pytestmark = pytest.mark.django_db
DENVER = "America/Denver"


def hours(row, zone):
    return tuple(f"{moment.astimezone(ZoneInfo(zone)):%H:%M}" for moment in (row.window_start, row.window_end))


def correct(at=NOW):
    home = Kitchen.objects.get()
    before = home.time_zone
    profile_save(data={"time_zone": DENVER}, by="odile", at=at, version=profile_version(home))
    return before


def test_an_inquiry_an_order_and_a_draft_have_the_hours_entered_for_them():
    order = order_make()
    draft = draft_make()
    draft.valid_until = NOW.replace(hour=23, minute=59)
    draft.save()
    before = Kitchen.objects.get().time_zone
    entered, day = hours(order, before), draft.valid_until.astimezone(ZoneInfo(before))
    correct()
    for row in (Order.objects.get(), order.quote.inquiry, draft.inquiry):
        row.refresh_from_db()
        assert hours(row, DENVER) == entered
        name = row._meta.model_name
        assert AuditEntry.objects.filter(document=name, document_pk=row.pk, event="zone_corrected", by="odile").exists()
    draft.refresh_from_db()
    assert draft.valid_until.astimezone(ZoneInfo(DENVER)).replace(tzinfo=None) == day.replace(tzinfo=None)
    assert AuditEntry.objects.filter(document="quote", document_pk=draft.pk, event="zone_corrected").exists()


def test_what_was_sent_reads_as_it_was_sent_and_its_bytes_stay(client):
    kitchen_make()
    sent = sent_make()
    content, until = sent.content, sent.valid_until
    with display.kitchen_display(Kitchen.objects.get()):
        found = content_read(content)
        window = display.window(found.event.window_start, found.event.window_end)
        valid = display.moment(found.valid_until)
    correct()
    sent.refresh_from_db()
    assert (sent.content, sent.valid_until) == (content, until)
    page = client.get(reverse("link-login", args=[link_create(quote_id=sent.pk, at=NOW)]), follow=True)
    shown = text(page)
    assert window in shown
    assert valid in shown
    with display.kitchen_display(Kitchen.objects.get()):
        found = content_read(content)
        assert display.window(found.event.window_start, found.event.window_end) == window
        assert display.window(Inquiry.objects.get().window_start, Inquiry.objects.get().window_end) == window


def test_a_quote_approved_after_the_correction_gives_an_order_at_the_hours_it_says():
    kitchen_make()
    sent = sent_make()
    entered = hours(sent.inquiry, correct())
    quote_approve(
        quote_id=sent.pk, content_sha256=sent.content_sha256, name="Ida Fenwick", evidence=ApprovalEvidence(), at=NOW
    )
    order = Order.objects.get()
    sent.inquiry.refresh_from_db()
    assert hours(order, DENVER) == hours(sent.inquiry, DENVER)
    assert hours(order, DENVER) != hours(order, "America/New_York")
    assert entered
    moment = order.window_start.astimezone(ZoneInfo("UTC"))
    file = calendar_file(order=order, content=content_read(Quote.objects.get(pk=sent.pk).content))
    assert f"DTSTART:{moment:%Y%m%dT%H%M%S}Z" in file.decode()


def test_a_revision_after_the_correction_has_no_new_time():
    kitchen_make()
    sent = sent_make()
    correct()
    revision = quote_revise(quote_id=sent.pk, by="odile", at=NOW)
    assert (
        revision.inquiry.window_start.astimezone(ZoneInfo(DENVER)).hour
        == content_read(sent.content).event.window_start.hour
    )


def test_the_form_says_before_saving_that_hours_stay(owner):
    draft_make()
    page = owner.get(reverse("kitchen-profile")).content.decode()
    assert "If you change the time zone, 1 event ahead keeps its hours as entered." in page


def test_lists_and_an_expired_quote_name_the_last_day_that_the_quote_names():
    kitchen_make()
    sent = sent_make()
    says = content_read(sent.content).valid_until
    home = Kitchen.objects.get()
    profile_save(data={"time_zone": "Pacific/Auckland"}, by="odile", at=NOW, version=profile_version(home))
    assert sent.valid_until.astimezone(ZoneInfo("Pacific/Auckland")).date() > says.date()
    (row,) = inquiries_listed(show="waiting", search="", page=1, at=NOW).object_list
    assert row.until == says
    with display.kitchen_display(Kitchen.objects.get()):
        day = display.day(says)
    assert f"valid until {day}" in text(signed_in("owner").get(reverse("inquiries") + "?show=waiting"))
    Quote.objects.filter(pk=sent.pk).update(status="expired")
    sent.refresh_from_db()
    assert why_closed(sent, says).params["day"].date() == says.date()
