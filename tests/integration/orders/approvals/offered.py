"""A sent quote that offers other windows beside the one that was asked for."""

from datetime import datetime, time, timedelta
from typing import Any

from django.utils import timezone

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.kitchen.models import HandOverHours
from catalog.kitchen.selectors import kitchen
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from orders.planning.services import window_check_ask
from orders.quotes.models import Quote
from orders.quotes.selectors import quotes_with_rows
from orders.quotes.send.check import send_check
from orders.quotes.send.offering import mark_of, offers_of
from tests.factories import BY, EVENT, NOW, ZONE, draft_make, line_make, pdf_stored, table_make
from tests.sending import quote_send_seen

#: Beside the Saturday asked for: two hours before, and the days around it at the same time.
EARLIER, FRIDAY, SUNDAY = EVENT - timedelta(hours=2), EVENT - timedelta(days=1), EVENT + timedelta(days=1)
LASTS = timedelta(minutes=30)


def leaves_every_day() -> None:
    """Let the kitchen hand over on every day, also where nobody works."""
    hours = (HandOverHours(weekday=day, opens=time(7), closes=time(22)) for day in range(7))
    HandOverHours.objects.bulk_create(hours)
    catalog_changed()


def cakes_draft(units: int = 4, **facts: Any) -> Quote:
    """Return a draft for cakes."""
    return draft_make(table=table_make(lines=(line_make("walnut-cake", units),), extras=()), **facts)


def checked(draft: Quote, at: datetime = NOW) -> Quote:
    """Let the outbox work out a draft's window, and the others that work."""
    window_check_ask(quote_id=draft.pk, at=at)
    for row in Outbox.objects.filter(kind="window_check", status="waiting"):
        assert outbox_run(row_id=row.pk, at=row.run_after)
    return draft


def works(draft: Quote, at: datetime = NOW) -> dict[str, datetime]:
    """Return the beginnings of the windows that may be offered with a draft, by their marks."""
    with timezone.override(ZONE):
        check = send_check(quotes_with_rows().get(pk=draft.pk), at=at)
        assert check.content is not None
        assert check.draft_estimate.estimate is not None
        priced, book = check.draft_estimate.estimate, book_current()
        found = offers_of(check.quote, check.content, priced, book, kitchen(), check.dates, at)
    return {one.mark: one.offered.window_start for one in found}


def offering(*begins: datetime, units: int = 4, **facts: Any) -> Quote:
    """Return a sent quote for cakes that offers the windows that begin then."""
    draft = checked(cakes_draft(units, **facts))
    marks = [mark_of(begin) for begin in begins or (EARLIER, SUNDAY)]
    return pdf_stored(quote_send_seen(quote_id=draft.pk, by=BY, at=NOW, offered=marks))
