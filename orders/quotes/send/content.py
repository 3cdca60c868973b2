"""Build the content of a sent quote from a draft and its estimate."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from django.utils import timezone
from django.utils.translation import gettext

from catalog.cooling.cold_holding import holds_cold
from catalog.cooling.keeping import held_cold
from catalog.cooling.selectors import ProductCold, cold_times
from catalog.kitchen.cancellation import rows_read
from catalog.kitchen.duty_presenters import allergen_notice
from catalog.kitchen.logo_services import logo_of
from catalog.kitchen.models import Kitchen
from catalog.kitchen.payment_schedule import after_read, amounts_of, payments_read
from catalog.kitchen.trace_words import trace_words
from catalog.pantry.declarations import CONTAINS, FREE, Serves
from catalog.pantry.diets import DIET_FACTS
from catalog.pictures.selectors import ref_of
from catalog.products.declarations import declarations_of
from catalog.products.looks import looks_of
from catalog.taxes.models import TaxCategory
from catalog.taxes.names import category_name
from catalog.web import display
from costing.contract import Book, Estimate, Product
from costing.money.allocation import allocate, sum_by_code
from costing.money.rounding import minor_digits, to_minor
from orders.documents.agreed import content_agreed
from orders.documents.content import Charge, Event, Line, Party, QuoteContent, Tax, canonical, sha256_of
from orders.documents.dated_payments import DatedPayment
from orders.inquiries.models import Customer, Inquiry
from orders.orders.models import Order
from orders.quotes.amendments.selectors import amends_of
from orders.quotes.cooling.perishables import room_bases
from orders.quotes.cooling.recorded_out import by_record, out_minutes_in, recorded_now
from orders.quotes.draft.allergens import extra_unchecked, needs_served
from orders.quotes.draft.cooling import out_from, serve_by
from orders.quotes.draft.dessert_table import table_of
from orders.quotes.draft.holding_words import both_held, hold_words, holding_words, room_words, unrepeated
from orders.quotes.models import Quote
from orders.quotes.send.statement_content import statement_of
from orders.quotes.terms.dates import TermsDates
from orders.quotes.terms.schedule import amounts_amended, deposit_of
from orders.quotes.terms.selectors import dates_of

#: Parts of a content that something besides its quote can move -> their fields.
PARTS: Final = {
    "dates": ("valid_until", "final_count_on", "deposit_latest_on"),
    "products": ("lines", "extras"),
    "charges": ("charges", "taxes", "net_minor", "tax_minor", "total_minor"),
    "allergens": ("needs", "named_none", "allergen_list", "allergen_notice", "cross_contact"),
    "kitchen": ("kitchen", "logo", "logo_has_name", "button", "tax_name", "prices", "currency"),
    "customer": ("customer", "event"),
    "terms": (
        *("deposit_minor", "deposit_days", "payments_before", "balance_days", "payments_after"),
        *("final_count_fall", "cancellation_terms", "cancellation_table", "note"),
    ),
}


def content_of(
    quote: Quote,
    estimate: Estimate,
    book: Book,
    kitchen: Kitchen,
    at: datetime,
    *,
    dates: TermsDates | None = None,
) -> QuoteContent:
    """Build the content of a draft that is sent at ``at``: its words, and the estimate's money by tax code.

    It includes a sentence on how to hold each cooled dessert. ``dates`` are those of its terms; without them they are
    computed as if it were unknown when the work begins.
    """
    with display.kitchen_display(kitchen):
        return _content(quote, estimate, book, kitchen, at, dates or dates_of(quote, kitchen, at=at))


def _content(
    quote: Quote, estimate: Estimate, book: Book, kitchen: Kitchen, at: datetime, dates: TermsDates
) -> QuoteContent:
    builder = _ContentBuilder(quote, estimate, book, kitchen)
    total, net = builder.minor(estimate.totals.total), builder.minor(estimate.totals.revenue)
    lines, amends = tuple(builder.lines()), amends_of(quote)
    content = QuoteContent(
        number=quote.number,
        revision=quote.revision,
        sent_at=timezone.localtime(at),
        valid_until=timezone.localtime(dates.valid_until),
        currency=book.currency,
        prices=book.kitchen.prices,
        tax_name=kitchen.tax_name,
        kitchen=_kitchen_party(kitchen),
        customer=_customer_party(quote.inquiry.customer, quote.amends),
        event=_event_of(quote.inquiry),
        lines=lines,
        extras=tuple(builder.extras()),
        charges=tuple(builder.charges()),
        taxes=tuple(builder.taxes()),
        net_minor=net,
        tax_minor=total - net,
        total_minor=total,
        deposit_minor=deposit_of(total, Fraction(quote.deposit_share), quote.deposit_fixed_minor),
        deposit_days=quote.deposit_days,
        balance_days=quote.balance_days,
        payments_after=after_read(quote.payments_after),
        final_count_fall=quote.final_count_fall,
        final_count_on=dates.final_count_on,
        deposit_latest_on=dates.deposit_latest_on,
        cancellation_terms=quote.cancellation_terms,
        cancellation_table=rows_read(quote.cancellation_table),
        note=quote.note,
        button=kitchen.approve_button,
        statement="",
        allergen_notice=allergen_notice(kitchen.food_safety, kitchen.country),
        allergen_list=kitchen.allergen_list,
        needs=needs_served(book, [line.product for line in lines], builder.table.extras, quote.inquiry),
        cross_contact=trace_words(kitchen.cross_contact),
        named_none=quote.inquiry.asked_none and not quote.inquiry.allergy_note.strip(),
        amends=amends,
        to_return=builder.to_return(),
        **_logo(kitchen),
    )
    if quote.amends is None:
        content = replace(content, payments_before=_payments(quote, content, dates))
    else:
        content = _schedule_stays(content, quote.amends, dates)
    return replace(content, statement=statement_of(content))


def _payments(quote: Quote, content: QuoteContent, dates: TermsDates) -> tuple[DatedPayment, ...]:
    """Return the payments before the event; none of nothing."""
    rows = payments_read(quote.payments_before)
    share = Fraction(quote.deposit_share) if quote.deposit_fixed_minor is None else Fraction(0)
    amounts = amounts_of(content.total_minor, content.deposit_minor, rows, share=share)
    dated = (
        DatedPayment(amount, row.days, day) for row, amount, day in zip(rows, amounts, dates.payments_on, strict=True)
    )
    return tuple(one for one in dated if one.amount_minor)


def _schedule_stays(content: QuoteContent, order: Order, dates: TermsDates) -> QuoteContent:
    """Return the content of an amendment with the payments that were agreed; who takes the difference says
    :func:`amounts_amended`.

    What was due before today stays late, unless its amount is another.
    """
    agreed, today = content_agreed(order.quote), dates.ahead.today
    before = agreed.payments_before
    deposit, *amounts = amounts_amended(
        [order.deposit_minor, *(one.amount_minor for one in before)],
        content.total_minor,
        was_minor=agreed.total_minor,
        last_open=bool(before) and before[-1].due_on >= today,
    )
    dated = (
        replace(one, amount_minor=amount, due_on=one.due_on if _stays(one, amount, today) else day)
        for one, amount, day in zip(before, amounts, dates.payments_on, strict=True)
    )
    return replace(
        content,
        deposit_minor=deposit,
        deposit_latest_on=order.deposit_due_on if order.deposit_minor else None,
        payments_before=tuple(one for one in dated if one.amount_minor),
    )


def _stays(payment: DatedPayment, amount_minor: int, today: date) -> bool:
    return payment.due_on < today and amount_minor == payment.amount_minor


def content_mark(content: QuoteContent) -> str:
    """Return a short hash of what the owner looks at before it is sent: of all but the moment of sending.

    After it comes one of each part (:data:`PARTS`), so that a page can say which of them is another by now.
    """
    shown = replace(content, sent_at=content.valid_until)
    whole = canonical(shown)
    parts = (_part_mark(shown, fields) for fields in PARTS.values())
    return "-".join((sha256_of(whole)[:20], *parts))


def _part_mark(content: QuoteContent, fields: Sequence[str]) -> str:
    return sha256_of(repr([getattr(content, field) for field in fields]))[:8]


def parts_changed(content: QuoteContent, shown: str) -> tuple[str, ...]:
    """Return the parts of a content that are others than those of a mark; the last stands for all the rest."""
    now, seen = content_mark(content).split("-")[1:], shown.split("-")[1:]
    if len(now) != len(seen):
        return ("rest",)
    return tuple(part for part, a, b in zip(PARTS, now, seen, strict=True) if a != b) or ("rest",)


def _logo(kitchen: Kitchen) -> dict[str, Any]:
    """Return the kitchen's logo as it is now."""
    use = logo_of(kitchen)
    return {"logo": ref_of(use.picture, use.alt), "logo_has_name": use.has_name and use.picture_id is not None}


def _kitchen_party(kitchen: Kitchen) -> Party:
    return Party(
        name=kitchen.name,
        legal_name=kitchen.legal_name,
        address=kitchen.address,
        country=kitchen.country,
        email=kitchen.email,
        phone=kitchen.phone,
        tax_number=kitchen.tax_number,
    )


def _customer_party(customer: Customer, order: Order | None) -> Party:
    """Return the customer; of an order that is changed as whom it bills by now."""
    party = Party(
        name=customer.name,
        legal_name="",
        address=customer.address,
        country=customer.country,
        email=customer.email,
        phone=customer.phone,
        tax_number=customer.tax_number,
    )
    return party if order is None or order.bill_to is None else replace(party, **order.bill_to)


def _event_of(inquiry: Inquiry) -> Event:
    return Event(
        title=inquiry.title,
        window_start=timezone.localtime(inquiry.window_start),
        window_end=timezone.localtime(inquiry.window_end),
        hand_over=inquiry.hand_over,
        place=inquiry.place,
        guests=inquiry.guests,
        allergies=tuple(sorted(inquiry.allergies)),
        allergy_note=inquiry.allergy_note,
    )


def _rule_beside(rule: ProductCold, cold: ProductCold) -> int | None:
    """Return the rule's time out of the cold [min] where the owner's record takes its place with a longer one."""
    if rule.out is None or rule.out.clause is None:
        return None
    longer = cold.out is None or cold.out.longest_minutes > rule.out.longest_minutes
    return rule.out.longest_minutes if longer else None


class _ContentBuilder:
    """Makes the lines, charges and taxes of a content from an estimate and the draft's rows."""

    def __init__(self, quote: Quote, estimate: Estimate, book: Book, kitchen: Kitchen) -> None:
        self.quote, self.estimate, self.book, self.table = quote, estimate, book, table_of(quote)
        self.digits = minor_digits(book.currency)
        self.out_from = out_from(quote.inquiry, kitchen)
        self.goods = sum_by_code((book.product(line.product).tax, self.minor(line.amount)) for line in estimate.lines)

    def minor(self, money: Fraction) -> int:
        """Return charged money as whole minor units."""
        return to_minor(money, self.digits)

    def lines(self) -> Iterator[Line]:
        # In the order of the table; the estimate sorts by code.
        rows = list(self.quote.lines.select_related("product__mold"))
        for row in rows:
            # Which drawing stands for it follows from its words as the Book has them.
            of_book = self.book.product(row.product.code)
            row.product.name, row.product.category = of_book.name, of_book.category
        codes = [row.product.code for row in rows]
        units = {line.product: line.units for line in self.estimate.lines}
        times, holds_at = cold_times(units, self.book), held_cold(codes, self.book)
        recorded = recorded_now(self.quote, units, self.book)
        declarations, looks = declarations_of(self.book), looks_of(row.product for row in rows)
        for row in rows:
            product, line = self.book.product(row.product.code), self.estimate.line(row.product.code)
            rule, minutes = times.get(product.code, ProductCold()), recorded.get(product.code)
            cold = by_record(rule, minutes, stated=out_minutes_in(product.holding))
            found, diets = declarations.of(product.code), declarations.diets(product.code)
            yield Line(
                product=product.code,
                name=product.name,
                description=product.description,
                units=line.units,
                servings=line.servings,
                unit_price_minor=self.minor(line.unit_price),
                amount_minor=self.minor(line.amount),
                allergens=tuple(sorted({*self.estimate.allergens.get(product.code, ()), *found.allergens})),
                holding=self._holding(product, cold, holds_at.get(product.code)),
                tax=product.tax,
                out_minutes=None if cold.out is None else cold.out.allowed_minutes,
                until_warm=cold.out is not None and cold.out.clause is None,
                out_under=cold.out is not None and cold.out.under,
                out_rule=_rule_beside(rule, cold),
                serve_by=serve_by(cold, self.out_from),
                may_contain=found.may_allergens,
                unchecked=found.unchecked_allergens,
                allergen_names={code: sorted(names) for code, names in sorted(found.names.items())},
                diets=tuple(diet for diet, serves in diets.items() if serves == Serves.FREE),
                made_with=tuple(code for code in DIET_FACTS if code in found.contains),
                picture=looks[row.product.pk].picture,
                drawing=looks[row.product.pk].drawing,
            )

    def to_return(self) -> tuple[str, ...]:
        going = self.quote.lines.filter(product__mold_leaves=True, product__mold__isnull=False)
        return tuple(dict.fromkeys(going.values_list("product__mold__name", flat=True)))

    def _holding(self, product: Product, cold: ProductCold, hold_c: float | None) -> str:
        # What is kept cold because nothing says how has the rule's time out of the cold too, where one is stated.
        words = hold_words(hold_c) if hold_c is not None and cold.out is None else holding_words(cold, self.out_from)
        if not words and not holds_cold(product.holding):
            words = room_words(room_bases(product, self.book))
        return both_held(unrepeated(product.holding, words), words)

    def extras(self) -> Iterator[Charge]:
        which = self.book.kitchen.described.allergen_list
        for extra in self.table.extras:
            yield Charge(
                "extra",
                extra.name,
                extra.amount_minor,
                extra.tax_code,
                food=extra.food,
                allergens=extra.allergens,
                may_contain=extra.may_contain,
                unchecked=extra_unchecked(extra, which),
                made_with=tuple(code for code, answer in extra.facts if answer == CONTAINS),
                made_without=tuple(code for code, answer in extra.facts if answer == FREE),
            )

    def charges(self) -> Iterator[Charge]:
        totals = self.estimate.totals
        parts = charges_by_code(
            {
                "discount": -self.minor(totals.discount),
                "surcharge": self.minor(totals.surcharge),
                "top_up": self.minor(totals.top_up),
            },
            self.goods,
        )
        parts["delivery"] = self._delivery()
        for kind, by_code in parts.items():
            for code, amount in sorted(by_code.items()):
                if amount:
                    yield Charge(kind, self._charge_name(kind), amount, code)

    def _delivery(self) -> dict[str, int]:
        price = self.minor(self.estimate.totals.delivery)
        if not price or self.book.delivery is None:
            return {}
        code = self.book.delivery.tax
        return allocate(price, _weights(self.goods)) if code == "goods" else {code: price}

    def _charge_name(self, kind: str) -> str:
        return {
            "discount": gettext("Discount of %(rate)s") % {"rate": display.rate(self.quote.discount)},
            "surcharge": gettext("Rush fee, %(rate)s") % {"rate": display.rate(self.book.kitchen.rush_rate)},
            "top_up": gettext("Minimum-order charge"),
            "delivery": gettext("Delivery and setup") if self.quote.inquiry.setup_minutes else gettext("Delivery"),
        }[kind]

    def taxes(self) -> Iterator[Tax]:
        categories = {category.code: category for category in self.book.taxes}
        for tax in self.estimate.totals.taxes:
            category = categories[tax.code]
            untdid, why = category.untdid, category.exempt_reason
            if self.quote.inquiry.customer.tax_exempt and untdid == TaxCategory.Untdid.STANDARD:
                untdid, why = TaxCategory.Untdid.EXEMPT, gettext("The customer is exempt from this tax.")
            yield Tax(
                code=tax.code,
                name=category_name(category.name, tax.code),
                untdid=str(untdid),
                exempt_reason=why,
                rate=Decimal(tax.rate.numerator) / tax.rate.denominator,
                taxable_minor=self.minor(tax.taxable),
                tax_minor=self.minor(tax.tax),
            )


def _weights(goods: Mapping[str, int]) -> dict[str, Fraction]:
    return {code: Fraction(amount) for code, amount in goods.items()}


def charges_by_code(amounts: Mapping[str, int], goods: Mapping[str, int]) -> dict[str, dict[str, int]]:
    """Split discount, surcharge and top-up (signed, minor units) over the goods' tax codes.

    The split of their sum is binding (the contract's step 10). Each is split by itself, and the largest absorbs the
    remaining minor units, so that together they give the binding split and each still adds up to its own amount.
    """
    whole = allocate(sum(amounts.values()), _weights(goods))
    parts = {kind: allocate(amount, _weights(goods)) for kind, amount in amounts.items()}
    largest = max(amounts, key=lambda kind: abs(amounts[kind]))
    for code, amount in whole.items():
        parts[largest][code] += amount - sum(part[code] for part in parts.values())
    return parts
