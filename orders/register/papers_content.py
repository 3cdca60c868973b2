"""What the files of payment requests and receipts hold: their rows, and control totals at the end."""

from collections.abc import Iterator
from decimal import Decimal

from costing.money.rounding import minor_digits
from orders.invoices.models import PaymentPaper
from orders.register.file_content import Cell, FileContent
from orders.register.paper_list import PaperMonth, is_reversed, paper_sums, papers_of

_HEADS = ("Document", "Number", "Issued", "Due", "Received", "Customer", "Order", "Currency", "Amount", "Reversed")


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
