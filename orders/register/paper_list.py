"""Payment requests and receipts of a month, and their sums."""

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import date, timedelta

from django.db.models import Max, QuerySet

from orders.invoices.models import PaymentPaper
from orders.register.filters import month_of

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


def month_facts(month: PaperMonth) -> dict[str, str]:
    """Return a month as a prepared file keeps it."""
    return {name: value.isoformat() for name, value in asdict(month).items()}
