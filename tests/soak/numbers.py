"""16 processes issue 1,000 invoices each, with rollbacks and deaths: the numbers are 1 to n."""

from datetime import timedelta

from django.utils import timezone

from catalog.outbox.models import Outbox
from orders.invoices.models import Invoice
from orders.invoices.services import invoice_draft
from orders.orders.models import Order
from orders.records.models import NumberSeries
from tests.factories import BY, approved_make
from tests.soak.context import Outcome, Soak, event
from tests.soak.service import run

CLERKS = 16
EACH = 1000
_ORDERS = 8


def prove(soak: Soak) -> Outcome:
    """Issue everything, then compare the numbers with 1 to n and with what the clerks were told."""
    found = Outcome()
    drafts = _drafts(soak, CLERKS * soak.counted(EACH, least=10))
    before = _last()
    log = soak.service.folder / "clerks.log"
    # What is proved is the numbers: nothing of the service runs, and the PDFs are not made.
    deaths = run(["tests.soak.clerks", str(CLERKS), str(soak.chance.random()), str(log)], {"COLDSET_BROKER_URL": ""})
    requests = Outbox.objects.filter(kind="invoice_pdf").count()
    lines = log.read_text().splitlines()
    answered = dict(line.split() for line in lines if line != "failed")
    _check(drafts, answered, requests, before, found)
    found.done["ok"], found.done["unknown"] = len(answered), int(deaths)
    found.done["failed"] = lines.count("failed")
    found.remarks.append(f"{deaths.strip()} processes died")
    return found


def _check(drafts: list[int], answered: dict[str, str], requests: int, before: int, found: Outcome) -> None:
    issued = {pk: number for pk, number in Invoice.objects.filter(pk__in=drafts).values_list("pk", "number") if number}
    numbers = sorted(int(number.partition("-")[2]) for number in issued.values())
    expected = list(range(before + 1, before + 1 + len(drafts)))
    found.must(numbers == expected, f"the numbers are not {expected[0]} to {expected[-1]}, each once")
    found.must(_last() == expected[-1], f"the series stands at {_last()}")
    found.must(requests == len(drafts), f"{requests} PDFs are requested for {len(drafts)} invoices")
    wrong = [pk for pk, number in answered.items() if issued.get(int(pk)) != number]
    found.must(not wrong, f"{len(wrong)} clerks were told another number than is stored")


def _last() -> int:
    series = NumberSeries.objects.filter(pk="invoice").first()
    return 0 if series is None else series.last


def _drafts(soak: Soak, count: int) -> list[int]:
    """Return drafts of invoices: one of each order is made by its service, the others are copies of it."""
    now = timezone.now()
    for _ in range(_ORDERS):
        approved_make(at=now - timedelta(hours=2), window_start=event(now))
    first = [invoice_draft(order_id=order.pk, by=BY, at=now) for order in Order.objects.all()]
    copies = []
    for number in range(count - len(first)):
        copy = Invoice.objects.get(pk=first[number % len(first)].pk)
        copy.pk = None
        copies.append(copy)
    Invoice.objects.bulk_create(copies)
    return list(Invoice.objects.filter(status="draft").values_list("pk", flat=True))
