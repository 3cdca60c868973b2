"""Two outbox loops on one database, one of them killed again and again: each row is done once."""

import time

from django.utils import timezone

from catalog.outbox.models import Outbox
from orders.approvals.services import quote_reply
from tests.factories import BY, sent_make
from tests.soak.context import Outcome, Soak, check_mails, event, wait_until

ROWS = 600
KILLS = 20
#: Seconds between two deaths of the loop.
_BETWEEN = 1.5


def prove(soak: Soak) -> Outcome:
    """Give both work, kill one loop over and over, and count what arrived."""
    found = Outcome()
    service = soak.service
    service.start_mail()
    now = timezone.now()
    quotes = [sent_make(at=now, window_start=event(now), allergies=()) for _ in range(3)]
    last = Outbox.objects.order_by("-pk").values_list("pk", flat=True).first() or 0
    for number in range(soak.counted(ROWS)):
        quote_reply(quote_id=quotes[number % 3].pk, text=f"Reply {number}", by=BY, at=timezone.now())
        found.done["ok"] += 1
    rows = Outbox.objects.filter(pk__gt=last, kind="mail")
    kills, killed = soak.counted(KILLS), 0
    for name in ("first loop", "second loop"):
        service.start(name, "manage", "outbox", "--loop", SOAK_PART="outbox", COLDSET_BROKER_URL="")
    try:
        while killed < kills and rows.exclude(status="done").exists():
            time.sleep(_BETWEEN)
            service.kill("second loop")
            killed += 1
        wait_until(lambda: not rows.exclude(status="done").exists(), "the rows of two loops", soak.patience)
    finally:
        service.stop("first loop", "second loop")
    check_mails(soak, rows, found)
    found.remarks.append(f"{rows.count()} rows, a loop killed {killed} times")
    return found
