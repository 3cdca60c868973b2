"""What an approved change of an order leaves to invoice or to credit, once an invoice was issued.

The documents that bill the agreed content, less what was credited for changes of it, are compared with the content in
force, item by item; what was credited for other reasons (broken tarts) is not asked for again. Each tax code is netted:
where it rises there is a further invoice, where it falls a credit note. Their tax is what the content's tax leaves.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from orders.documents.content import QuoteContent, content_read
from orders.invoices.bill_to import buyer_of
from orders.invoices.content import ONE, rows_of, tax_kinds
from orders.invoices.credit_rows import credit_totals
from orders.invoices.models import IS_CREDIT_NOTE, Invoice
from orders.invoices.selectors import CreditableRow, creditable, left_by_code, standing_invoices
from orders.invoices.totals import ALLOWANCE, LINE, DocumentTotals, Row, compute_totals
from orders.orders.models import Order
from orders.records.states import InvoiceStatus, OrderStatus

#: What of a buyer stands on an invoice by law or custom; a new telephone number needs no other invoice.
_OF_BUYER: Final = ("name", "legal_name", "address", "country", "tax_number")
#: Tax code and name of an item.
Item = tuple[str, str]


@dataclass(frozen=True, slots=True)
class ChangeCredit:
    """A credit note that is to be issued: what of an invoice's rows by their key, in minor units as agreed."""

    invoice: Invoice
    amounts: Mapping[int, int]
    totals: DocumentTotals


@dataclass(frozen=True, slots=True)
class ChangeToBill:
    """What a change leaves to do: a further invoice, credit notes, or both, of different taxes.

    With ``anew`` no difference can be invoiced, because the buyer or a tax is another: the invoice is credited in
    full and issued again.
    """

    order: Order
    further: DocumentTotals | None = None
    credits: tuple[ChangeCredit, ...] = ()
    anew: bool = False

    @property
    def credit_minor(self) -> int:
        """What is to be credited."""
        return sum(one.totals.total_minor for one in self.credits)


def change_to_bill(order: Order) -> ChangeToBill | None:
    """Return what a change leaves to invoice or credit; None where no invoice stands, or it bills what is in force.

    The order comes with its quote.
    """
    if order.quote.amends_id is None or order.status == OrderStatus.CANCELED:
        return None
    standing = standing_invoices(order)
    if not standing:
        return None
    content = content_read(order.quote.content)
    if any(_another(invoice, order, content) for invoice in standing):
        return ChangeToBill(order, anew=True)
    return _Billing(order, content, standing).to_bill()


def _another(invoice: Invoice, order: Order, content: QuoteContent) -> bool:
    """Return whether no document about a difference can stand beside an invoice: its buyer or a tax is another."""
    wanted = buyer_of(order, content)
    buyer = any(invoice.buyer.get(name, "") != wanted[name] for name in _OF_BUYER)
    rates = {tax.code: (tax.untdid, Decimal(tax.rate)) for tax in content.taxes}
    taxes = (tax for tax in invoice.taxes.all() if tax.tax_code in rates)
    other = any(rates[tax.tax_code] != (tax.untdid, Decimal(tax.rate)) for tax in taxes)
    return buyer or other or (invoice.currency, invoice.prices) != (content.currency, content.prices)


class _Billing:
    """The content in force against the documents that bill it."""

    def __init__(self, order: Order, content: QuoteContent, standing: Sequence[Invoice]) -> None:
        self.order, self.content, self.standing = order, content, standing
        notes = Invoice.objects.filter(IS_CREDIT_NOTE, credits__in=standing, settles__isnull=False)
        self.notes = list(notes.exclude(status=InvoiceStatus.DRAFT).prefetch_related("lines__credits", "taxes"))
        self.rows = list(rows_of(content))
        self.changes = self._changes()

    def _changes(self) -> dict[Item, int]:
        """Return by item what is agreed less what is billed."""
        found: dict[Item, int] = defaultdict(int)
        for row in self.rows:
            found[row.tax_code, row.name] += row.amount_minor
        for invoice in self.standing:
            for line in invoice.lines.all():
                found[line.tax_code, line.name] -= line.amount_minor
        for note in self.notes:
            for line in note.lines.all():
                found[line.tax_code, (line.credits or line).name] += line.amount_minor
        return {item: amount for item, amount in found.items() if amount}

    def to_bill(self) -> ChangeToBill | None:
        nets: dict[str, int] = defaultdict(int)
        for (code, _), amount in self.changes.items():
            nets[code] += amount
        rising = [code for code, net in nets.items() if net > 0]
        further = self._further(rising) if rising else None
        notes = tuple(self._credits({code: -net for code, net in nets.items() if net < 0}))
        return ChangeToBill(self.order, further, notes) if further or notes else None

    def _further(self, codes: list[str]) -> DocumentTotals:
        of_item = {(row.tax_code, row.name): row for row in self.rows}
        rows = []
        for item, amount in self.changes.items():
            if item[0] not in codes:
                continue
            agreed = of_item.get(item)
            rows.append(_row(item, amount, agreed))
        return compute_totals(rows, tax_kinds(self.content), self.content.prices, reach=self._taxes_left(codes, 1))

    def _taxes_left(self, codes: list[str], sign: int) -> dict[str, int]:
        """Return the tax that the agreed content leaves above (or with ``sign`` -1 below) what is billed, by code."""
        left = dict.fromkeys(codes, 0)
        for of_content in self.content.taxes:
            if of_content.code in left:
                left[of_content.code] += of_content.tax_minor
        for documents, counts in ((self.standing, -1), (self.notes, 1)):
            for tax in (tax for one in documents for tax in one.taxes.all()):
                if tax.tax_code in left:
                    left[tax.tax_code] += counts * tax.tax_minor
        return {code: sign * amount for code, amount in left.items()}

    def _credits(self, falls: dict[str, int]) -> Iterator[ChangeCredit]:
        open_ = dict(falls)
        reach = self._taxes_left(list(falls), -1)
        for invoice in self.standing:
            amounts = self._of_invoice(creditable(invoice), open_)
            if amounts:
                # Where another note has a part of it, each has the tax of its own.
                whole = {code: tax for code, tax in reach.items() if not open_[code] and len(self.standing) == 1}
                yield ChangeCredit(invoice, amounts, credit_totals(invoice, amounts, reach=whole))

    def _of_invoice(self, rows: list[CreditableRow], open_: dict[str, int]) -> dict[int, int]:
        """Take what falls from an invoice's rows, of the items that fall first; ``open_`` is what is still to take."""
        left = left_by_code(rows)
        amounts: dict[int, int] = {}
        fallen = {item: -amount for item, amount in self.changes.items() if amount < 0}
        positive = [row for row in rows if row.left > 0]
        for own in (True, False):
            for row in positive:
                code, item = row.line.tax_code, (row.line.tax_code, row.line.name)
                most = fallen.get(item, 0) if own else row.left
                room = row.left - amounts.get(row.line.pk, 0)
                take = min(room, most, open_.get(code, 0), left.get(code, 0))
                if take > 0:
                    amounts[row.line.pk] = amounts.get(row.line.pk, 0) + take
                    open_[code] -= take
                    left[code] -= take
                    fallen[item] = fallen.get(item, 0) - take
        return amounts


def _row(item: Item, amount: int, agreed: Row | None) -> Row:
    """Return a row of a further invoice: whole pieces where the price allows it, what is less as an allowance."""
    code, name = item
    kind = ALLOWANCE if amount < 0 else LINE if agreed is None or agreed.kind == ALLOWANCE else agreed.kind
    row = Row(name, amount, code, kind, unit_code=ONE, unit_price_minor=amount)
    price = 0 if agreed is None or agreed.kind != LINE else agreed.unit_price_minor
    if agreed is None or amount < 0 or not price or amount % price:
        return row
    return replace(row, quantity=Decimal(amount // price), unit_code=agreed.unit_code, unit_price_minor=price)
