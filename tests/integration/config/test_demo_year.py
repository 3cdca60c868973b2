"""The invented year has every kind of story in it, and its three weeks ahead hold whenever it is started."""

import os
import re
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from math import inf
from pathlib import Path
from random import Random

import pytest
from django.urls import reverse
from django.utils import timezone

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.kitchen.cancellation import rows_read
from catalog.kitchen.models import ClosedDay, DatedHours
from catalog.kitchen.selectors import kitchen
from catalog.outbox.models import Outbox
from catalog.rates.models import Station, StationOut
from config.demo import courses, year
from config.demo.days import days_that_differ, service, today_of, weeks
from config.demo.profile import SERVICED
from config.demo.year import build_year
from costing.plan.verdicts import IMPOSSIBLE, UNDECIDED
from orders.cooling_log.models import CoolingRecord
from orders.documents.content import QuoteContent, content_read
from orders.invoices.models import Invoice
from orders.orders.models import Order
from orders.planning.answers import WindowAnswered
from orders.planning.models import WindowCheck
from orders.planning.plans import plan_days
from orders.planning.promise import promise
from orders.planning.reserved import day_is_reserved
from orders.planning.selectors import kitchen_days, window_answered
from orders.planning.services import window_check_make
from orders.quotes.cooling.selectors import broken, not_judged, ruled_table, table_units
from orders.quotes.draft.services import Terms, draft_terms
from orders.quotes.models import CoolingOverride, Quote
from orders.quotes.selectors import quotes_with_rows
from orders.quotes.send.check import send_check
from orders.records.models import AuditEntry
from orders.records.states import InvoiceStatus, OrderStatus, QuoteStatus
from tests.integration.catalog.recipes.test_recipes import page_text
from tests.integration.config.test_demo_kitchen import taken_over
from tests.integration.orders.register.test_register import signed_in

pytestmark = pytest.mark.django_db
#: The wedding as the story of its customer shows it: whoever changes the demo's, stores its content there.
WEDDING = Path(__file__).parents[2] / "browser" / "wedding.json"
MORE_DAYS = int(os.environ.get("COLDSET_DEMO_DAYS", "0"))


# Started on a Saturday, with every past story of half a year, and on a Monday before a change of the clocks.
@pytest.mark.parametrize(("profile", "day"), [("us", date(2026, 11, 28)), ("eu", date(2027, 3, 15))], ids=str)
def test_a_year_has_every_status_and_ends_with_a_wedding_that_waits(
    profile: str, day: date, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = started(profile, day, monkeypatch)
    if profile == "us" and not MORE_DAYS:
        monkeypatch.setattr(year, "EVERY", 2 * year.EVERY)
    if profile == "eu":
        monkeypatch.setattr(courses, "PAST", tuple(dict.fromkeys(courses.PAST)))
        monkeypatch.setattr(year, "EVERY", 336 // len(courses.PAST))
    reported: list[str] = []
    with timezone.override(kitchen().time_zone):
        wedding = build_year(now, report=reported.append)
    assert wedding.status == QuoteStatus.SENT
    assert wedding.inquiry.guests == 140
    assert set(Quote.objects.values_list("status", flat=True)) == set(QuoteStatus.values)
    assert set(Order.objects.values_list("status", flat=True)) >= set(OrderStatus.values) - {"delivered"}
    assert set(Invoice.objects.values_list("status", flat=True)) >= set(InvoiceStatus.values) - {"draft"}
    issued = AuditEntry.objects.filter(document__in=("invoice", "credit_note"), event="issue")
    assert {entry.by for entry in issued} == {"odile"}
    assert len(reported) == 2
    for documents in (invoices_by_number("380"), invoices_by_number("381"), orders_by_number()):
        assert documents == sorted(documents)
    if profile == "us":
        # A large cake cools too slowly: it is measured, and once the first one had to be thrown away.
        outcomes = CoolingRecord.objects.values_list("outcome", "action")
        assert {("met", ""), ("not_met", "discarded")} <= set(outcomes)
        assert CoolingOverride.objects.exclude(measured_by="").exists()
        assert not CoolingOverride.objects.filter(measured__contains="°C").exists()
        assert shape(content_read(wedding.content)) == shape(content_read(WEDDING.read_text(encoding="utf-8")))
    weeks_hold(wedding, now)
    pages_agree(wedding)


def shape(content: QuoteContent) -> object:
    """Return what makes a quote's page as long as it is, which no day changes."""
    lines = [
        (line.name, line.units, line.description, line.diets, line.allergens, line.may_contain)
        for line in content.lines
    ]
    event, charges = content.event, [charge.name for charge in content.charges]
    texts = (content.note, content.allergen_notice, content.cross_contact, content.cancellation_terms)
    return lines, event.allergies, event.allergy_note, charges, texts, content.cancellation_table


def days_to_start() -> list[date]:
    """Return days on which the demo is started: each weekday that is not in the year's test, at changes of the clocks.

    With ``COLDSET_DEMO_DAYS=60`` so many more, anywhere in two years; the year's test has every story of the demo then.
    """
    few = [(2026, 12, 1), (2027, 2, 28), (2027, 3, 12), (2027, 10, 20), (2027, 10, 28)]
    more = Random(7).sample(range(730), MORE_DAYS)
    return [*(date(*one) for one in few), *(date(2026, 12, 1) + timedelta(days=one) for one in more)]


@pytest.mark.parametrize("day", days_to_start(), ids=str)
def test_three_weeks_look_like_work_whichever_day_it_is_started_on(day: date, monkeypatch: pytest.MonkeyPatch) -> None:
    """In the US clocks change on March 14 and November 7, 2027; in Germany on March 28 and October 31."""
    profile = ("us", "eu")[day.toordinal() % 2]
    now = started(profile, day, monkeypatch)
    monkeypatch.setattr(year, "_past", lambda _: ())
    with timezone.override(kitchen().time_zone):
        wedding = build_year(now, report=lambda _: None)
    weeks_hold(wedding, now)


def started(profile: str, day: date, monkeypatch: pytest.MonkeyPatch) -> datetime:
    """Put in the kitchen as the demo has it when it is started on a day; return the moment."""
    now = datetime.combine(day, time(14, 30), UTC)
    monkeypatch.setattr(timezone, "now", lambda: now)
    # Fifty PDFs take long, and how they look is tested elsewhere.
    monkeypatch.setattr("orders.documents.store.pdf_of", lambda *_, **__: b"%PDF-1.7 in place of a quote")
    # What no search finds is looked for a short time only: a proof does not depend on that.
    monkeypatch.setattr("orders.planning.services.TRIES", 2)
    taken_over(profile)
    with_days_that_differ(profile, now)
    return now


def weeks_hold(wedding: Quote, now: datetime) -> None:
    """Check the three weeks: six tables on a Saturday, a day that is kept, two hard wishes, all that is promised."""
    with timezone.override(kitchen().time_zone):
        today = timezone.localtime(now).date()
        _, six, full = weeks(today)
        on_six = [one for one in Order.objects.all() if timezone.localtime(one.window_start).date() == six]
        planned = plan_days(kitchen_days(today, today + timedelta(days=24), now), now=now)
    assert [one.status for one in on_six] == [OrderStatus.CONFIRMED] * 6
    # What is promised has its place: hands, ovens, cold places, molds and vans are enough.
    assert planned.plan.placed
    assert [one.batch for one in planned.over] == []
    assert day_is_reserved(wedding, now)
    assert ClosedDay.objects.filter(date__gt=six, date__lt=full).exists()
    assert StationOut.objects.filter(first_day__gt=today, last_day__lt=six).exists()
    checked, refused = quotes_with_rows().filter(pk__in=WindowCheck.objects.values("quote")).order_by("pk")
    asked = Outbox.objects.get(kind="window_check", about=f"quote:{checked.pk}")
    window_check_make(row=asked, at=now, seconds=inf)
    assert answer(checked, now).verdict == UNDECIDED
    assert not answer(checked, now).unstated
    no = answer(refused, now)
    assert (no.verdict, [one.cause.startswith("mold:Ring, ") for one in no.in_the_way]) == (IMPOSSIBLE, [True])
    # In a week without other orders it could be made.
    alone = kitchen_days(full, full)
    units = {line.product.code: line.units for line in refused.lines.all()}
    leaves = (refused.inquiry.window_start,) * 2
    empty = plan_days(replace(alone, promised=()), now=now)
    assert promise(empty, units, leaves, now=now, may_leave=lambda _: False, others=False).holds
    for quote in quotes_with_rows():
        nothing_left_open(quote)
    drafts = [quote for quote in quotes_with_rows().filter(status=QuoteStatus.DRAFT) if quote.lines.exists()]
    assert len(drafts) == 3
    for draft in drafts:
        with_terms(draft, now)
        check = send_check(quotes_with_rows().get(pk=draft.pk), at=now)
        assert check.may_go is (draft.pk != refused.pk), draft
        assert (check.unstated, check.not_judged) == ((), ())


def invoices_by_number(kind: str) -> list[datetime]:
    """Return when the invoices or credit notes were issued, in order of their numbers."""
    found = Invoice.objects.filter(kind=kind).exclude(number=None).order_by("number")
    return [one.issued_at for one in found if one.issued_at is not None]


def orders_by_number() -> list[datetime]:
    """Return when the orders were confirmed, in order of their numbers."""
    return list(Order.objects.order_by("number").values_list("confirmed_at", flat=True))


def answer(quote: Quote, now: datetime) -> WindowAnswered:
    """Return the answer about a wish."""
    found = window_answered(quote, now)
    assert found is not None
    return found


def pages_agree(wedding: Quote) -> None:
    """Check that the pages say the same of the wishes and of the day that is kept."""
    client = signed_in("owner")
    checked, refused = WindowCheck.objects.order_by("quote_id").values_list("quote__inquiry", flat=True)
    assert "No plan was found in which all of this is ready in time." in page_text(
        client.get(reverse("inquiry", args=[checked]))
    )
    text = page_text(client.get(reverse("inquiry", args=[refused])))
    assert "This cannot be made for that time" in text
    assert re.search(r"Ring, (10 in|25 cm): from .* it takes \d[.,]\d times what there is", text)
    assert "The time is kept" in page_text(client.get(reverse("quote", args=[wedding.pk])))


def with_days_that_differ(profile: str, now: datetime) -> None:
    """Add the days of the calendar that ``manage.py demo prepare`` counts from today."""
    differing = days_that_differ(int(profile == "eu"), now)
    (own,) = differing["days"]
    assert len(differing["closed"]) == 2
    assert all(one["reason"] for one in differing["closed"])
    ClosedDay.objects.bulk_create(ClosedDay(**one) for one in differing["closed"])
    DatedHours.objects.create(**own)
    begins, ends = service(today_of(int(profile == "eu"), now))
    oven = Station.objects.get(code=SERVICED)
    StationOut.objects.create(station=oven, first_day=begins, begins=time(0), last_day=ends, ends=time(0))
    catalog_changed()


def nothing_left_open(quote: Quote) -> None:
    """Check that nothing of a quote waits for an answer about cooling, and what breaks the rule has its record."""
    book, units = book_current(), table_units(quote)
    assert not_judged(units, book) == (), quote.number
    assert [one.name for one in broken(units, book) if one.missing is not None] == [], quote.number
    if quote.sent_at is not None:
        assert ruled_table(quote, units, book).unrecorded == (), quote.number


def with_terms(draft: Quote, now: datetime) -> None:
    """Enter until when a draft is valid, as the owner does before it is sent."""
    terms = Terms(
        valid_until=now + timedelta(days=5),
        deposit_share=draft.deposit_share,
        deposit_days=draft.deposit_days,
        balance_days=draft.balance_days,
        final_count_on=draft.final_count_on,
        final_count_usual=draft.final_count_usual,
        cancellation_terms=draft.cancellation_terms,
        cancellation_table=rows_read(draft.cancellation_table),
        note=draft.note,
    )
    draft_terms(quote_id=draft.pk, terms=terms, by="odile", at=now)
