"""Processes killed at named points: afterwards nothing is lost, and nothing is doubled that had not left already."""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import timedelta

from django.db.models import Q
from django.utils import timezone

from catalog.outbox.models import Outbox
from catalog.price_lists.models import PriceList
from catalog.price_lists.services import price_list_upload
from orders.invoices.models import Invoice
from orders.invoices.services import invoice_draft
from orders.orders.models import Order
from orders.records.models import NumberSeries
from orders.register.models import ExportBatch, ExportItem
from tests.factories import BY
from tests.soak.approvals import approve
from tests.soak.clients import Client
from tests.soak.context import Outcome, SentQuote, Soak, check_approvals, check_mails, wait_until
from tests.soak.export_deed import make
from tests.soak.points import POINTS, Point
from tests.soak.service import run

KILLS = 50
#: Seconds in which a point is reached, on a busy machine too.
PATIENCE = 120
_PRICES = b"Ingredient,Pack,Price\nFlour,25 kg,31.50\n"


@dataclass
class Deeds:
    """What was done to reach the points, for the check afterwards."""

    soak: Soak
    found: Outcome
    customer: Client
    owner: Client
    waiting: list[SentQuote]
    drafts: list[int]
    approved: list[SentQuote] = field(default_factory=list)
    lists: list[int] = field(default_factory=list)

    def approve(self) -> Callable[[], None]:
        """Approve the next quote; return how to do it again."""
        quote = self.waiting.pop()
        self.approved.append(quote)

        def again() -> None:
            self.found.count([approve(self.customer, quote)])

        return again

    def issue(self) -> Callable[[], None]:
        """Issue the next invoice, with its mail; return how to do it again."""
        pk = self.drafts.pop()

        def again() -> None:
            self.found.count([self.owner.post_and_follow(f"/money/invoices/{pk}/issue/", {"mail": "on"})])

        return again

    def export(self) -> Callable[[], None]:
        """Issue the next invoice, and export what is not exported yet."""
        issue = self.issue()

        def once_issued() -> None:
            issue()
            make()
            self.found.done["ok"] += 1

        return once_issued

    def upload(self) -> Callable[[], None]:
        """Upload a price list, which is read once, whatever happens."""

        def upload() -> None:
            day = timezone.now()
            stored = price_list_upload(
                supplier="Mill", file_name="prices.csv", body=_PRICES, starts=day.date(), by=BY, at=day
            )
            self.lists.append(stored.pk)
            self.found.done["ok"] += 1

        return upload


def prove(soak: Soak) -> Outcome:
    """Kill at each point in turn, do what was left undone again, and look what became of everything."""
    found = Outcome()
    soak.service.start_all()
    points = [point for point in POINTS if _is_here(point, soak)]
    kills = soak.counted(KILLS, least=2)
    deeds = _prepare(soak, found, points, kills)
    for point in points:
        if point.part != "export":
            _kill(soak, point, kills, deeds)
    again = soak.wait_for_outbox()
    check_approvals(deeds.approved, found)
    doubles = sum(point.doubles for point in points) * kills
    twice = check_mails(soak, Outbox.objects.filter(kind="mail"), found, doubles)
    _check_invoices(soak, found)
    _check_lists(deeds, found)
    deeds.issue()()
    _export(soak, [point for point in points if point.part == "export"], kills, found)
    found.remarks.append(f"{again} rows met too many deaths and were asked for again")
    found.remarks.append(
        f"{kills} kills at each of {len(points)} points; {twice} mails came twice, {doubles} might have"
    )
    return found


def _is_here(point: Point, soak: Soak) -> bool:
    return point.only in ("", soak.vendor)


def _prepare(soak: Soak, found: Outcome, points: list[Point], kills: int) -> Deeds:
    """Send the quotes and draft the invoices that the points need."""
    needed = Counter({"issue": 1})  # the last, for the exports that die
    for point in points:
        if point.part != "export" and point.deed != "price list":
            needed["approve" if point.deed == "approve" else "issue"] += kills
    quotes = soak.quotes(sum(needed.values()))
    client = soak.customer(quotes)
    to_invoice, waiting = quotes[: needed["issue"]], quotes[needed["issue"] :]
    for quote in to_invoice:
        approve(client, quote)
    at = timezone.now() + timedelta(seconds=1)
    orders = Order.objects.filter(quote__in=[quote.pk for quote in to_invoice])
    drafts = [invoice_draft(order_id=order.pk, by=BY, at=at).pk for order in orders]
    # A quote's mail that has not left before the approval is not sent any more.
    soak.wait_for_outbox()
    return Deeds(soak, found, client, soak.owner(), waiting, drafts)


def _kill(soak: Soak, point: Point, kills: int, deeds: Deeds) -> None:
    """Reach the point as often as asked; each time whoever reaches it dies."""
    prepare = {
        "approve": deeds.approve,
        "issue": deeds.issue,
        "price list": deeds.upload,
        "export": deeds.export,
    }[point.deed]
    for _ in range(kills):
        armed = soak.arm(point.name)
        deed = prepare()
        deed()
        try:
            wait_until(lambda armed=armed: not armed.exists(), point.name, PATIENCE)  # type: ignore[misc]
        except TimeoutError as late:
            armed.unlink(missing_ok=True)
            deeds.found.broken.append(f"the point was not reached: {late}")
            return
        if point.part == "web":
            # The client was cut off and does not know: it tries again, as people do.
            deed()


def _check_invoices(soak: Soak, found: Outcome) -> None:
    """Numbers are 1 to n; each invoice that was asked to go out by mail has its PDF and its mail once."""
    issued = Invoice.objects.exclude(number=None)
    numbers = sorted(int(number.partition("-")[2]) for number in issued.values_list("number", flat=True) if number)
    last = NumberSeries.objects.get(pk="invoice").last if numbers else 0
    found.must(numbers == list(range(1, last + 1)), f"the invoices' numbers are not 1 to {last}")
    rows = list(Outbox.objects.filter(kind="invoice_mail"))
    wanted = Outbox.objects.filter(kind="invoice_pdf", payload__mail=True).count()
    found.must(len(rows) == wanted, f"{wanted} invoices were to go out, {len(rows)} mails were requested")
    check_mails(soak, rows, found)


def _check_lists(deeds: Deeds, found: Outcome) -> None:
    for price_list in PriceList.objects.filter(pk__in=deeds.lists):
        found.must(price_list.status != PriceList.Status.WAITING, f"a price list is {price_list.status}")


def _export(soak: Soak, points: list[Point], kills: int, found: Outcome) -> None:
    """Kill exports, then make one: every issued invoice is in exactly one."""
    names = [point.name for point in points]
    environment = {"SOAK_FOLDER": str(soak.service.folder), "SOAK_PART": "export", "COLDSET_BROKER_URL": ""}
    answered = run(["tests.soak.exports", str(kills), *names], environment)
    found.done["unknown"] += kills * len(points)
    found.broken += [text for text in answered.splitlines() if text]
    soak.wait_for_outbox()
    issued = Invoice.objects.exclude(number=None).count()
    found.must(ExportItem.objects.count() == issued, f"{ExportItem.objects.count()} of {issued} invoices are exported")
    for batch in ExportBatch.objects.filter(Q(csv=None) | Q(xlsx=None)):
        found.broken.append(f"{batch} has no files")
    requested = Outbox.objects.filter(kind="export_files").count()
    found.must(requested == ExportBatch.objects.count(), f"the files of exports were requested {requested} times")
