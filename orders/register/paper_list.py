"""Payment requests and receipts of a month: the list, and its rows and control totals for files."""

from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.db.models import Max, QuerySet

from costing.money.rounding import minor_digits
from orders.invoices.models import PaymentPaper
from orders.register.file_content import Cell, FileContent
from orders.register.filters import month_of

_HEADS = ("Document", "Number", "Issued", "Due", "Received", "Customer", "Order", "Currency", "Amount", "Reversed")
#: Characters of a month in an address, and the years that are looked at.
_MONTH, _YEARS = len("2027-02"), range(2000, 3000)


@dataclass(frozen=True, slots=True)
class PaperMonth:
    """A month by its first day, and the months beside it."""

    first: date

    @property
    def last(self) -> date:
        """Its last day."""
        return month_of(self.first)[1]

    @property
    def before(self) -> date:
        """The first day of the month before."""
        return month_of(self.first - timedelta(days=1))[0]

    @property
    def after(self) -> date:
        """The first day of the month after."""
        return self.last + timedelta(days=1)


@dataclass(slots=True)
class PaperSum:
    """How many papers of a kind there are in a currency, and what they come to; those of reversed payments apart."""

    kind: str
    currency: str
    documents: int = 0
    amount_minor: int = 0
    reversed_minor: int = 0


def month_asked(text: str, *, today: date) -> PaperMonth:
    """Return the month that an address names, as in 2027-02; else that of the newest paper, or today's."""
    try:
        day = date.fromisoformat(f"{text}-01") if len(text) == _MONTH else None
    except ValueError:
        day = None
    if day is None or day.year not in _YEARS:
        newest = PaymentPaper.objects.aggregate(day=Max("issued_on"))["day"] or today
        day = month_of(newest)[0]
    return PaperMonth(day)


def papers_of(month: PaperMonth) -> QuerySet[PaymentPaper]:
    """Return the papers that were issued in a month, the oldest first, with order, customer and payment."""
    rows = PaymentPaper.objects.filter(issued_on__range=(month.first, month.last))
    return rows.select_related("order__customer", "payment__reversed_by").order_by("issued_on", "pk")


def is_reversed(paper: PaymentPaper) -> bool:
    """Return whether the payment of a receipt was reversed."""
    return paper.payment is not None and hasattr(paper.payment, "reversed_by")


def paper_sums(papers: Iterable[PaymentPaper]) -> list[PaperSum]:
    """Add up papers by kind and currency."""
    sums: dict[tuple[str, str], PaperSum] = {}
    for paper in papers:
        one = sums.setdefault((paper.kind, paper.currency), PaperSum(paper.kind, paper.currency))
        one.documents += 1
        one.amount_minor += paper.amount_minor
        one.reversed_minor += paper.amount_minor if is_reversed(paper) else 0
    return [sums[key] for key in sorted(sums)]


def paper_content(month: PaperMonth) -> FileContent:
    """Return the list as the cells of a file; the last records are control totals by kind and currency."""
    papers = list(papers_of(month))
    return FileContent(_HEADS, map(_record, papers), _totals(papers))


def _record(paper: PaymentPaper) -> list[Cell]:
    received = None if paper.payment is None else paper.payment.received_on
    return [
        _NAMES[paper.kind],
        paper.number,
        paper.issued_on,
        paper.due_on,
        received,
        paper.order.customer.name,
        paper.order.number,
        paper.currency,
        _amount(paper.amount_minor, paper.currency),
        "yes" if is_reversed(paper) else "",
    ]


def _totals(papers: list[PaymentPaper]) -> Iterator[list[Cell]]:
    for one in paper_sums(papers):
        before: list[Cell] = [f"Control total, {_NAMES[one.kind]}", one.documents, None, None, None, "", ""]
        reversed_ = _amount(one.reversed_minor, one.currency) if one.reversed_minor else ""
        yield [*before, one.currency, _amount(one.amount_minor, one.currency), reversed_]


#: What files call the papers: the same in every language, as what reads the files expects.
_NAMES = {PaymentPaper.Kind.REQUEST.value: "payment request", PaymentPaper.Kind.RECEIPT.value: "receipt"}


def _amount(minor: int, currency: str) -> Decimal:
    return Decimal(minor).scaleb(-minor_digits(currency))


def month_facts(month: PaperMonth) -> dict[str, str]:
    """Return a month as a prepared file keeps it."""
    return {name: value.isoformat() for name, value in asdict(month).items()}
