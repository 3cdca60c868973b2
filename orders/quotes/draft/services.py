"""Draft quotes: the table, the terms, and the reason for a price below the floor margin."""

from dataclasses import asdict, dataclass
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction

from catalog.kitchen.cancellation import RetainedRow, rows_stored
from catalog.kitchen.models import Kitchen
from catalog.kitchen.payment_schedule import PaymentRow, after_stored, payments_stored
from catalog.kitchen.selectors import kitchen as kitchen_now
from catalog.pantry.allergens import asked_of
from catalog.pantry.free_by import FREE_BY
from catalog.products.models import Product
from catalog.records.reasons import Reason
from catalog.records.versions import stored, unchanged, version_mark
from orders.inquiries.models import Inquiry
from orders.quotes.draft.claims import check_note
from orders.quotes.draft.dessert_table import DessertTable, TableLine, only_named, sounds_eaten, table_of
from orders.quotes.models import Quote, QuoteExtra, QuoteLine
from orders.records.errors import ChangedMeanwhile, InquiryClosed, NotADraft, OverrideNeedsReason
from orders.records.numbers import number_next
from orders.records.states import QuoteStatus
from orders.records.transitions import audit


@dataclass(frozen=True, slots=True)
class Terms:
    """The terms of a quote, shown on the quote page besides the table.

    ``valid_until`` is None where the validity is the kitchen's usual one, computed when the quote is sent; so is the
    final count where ``final_count_usual``.
    """

    valid_until: datetime | None
    deposit_share: Decimal
    deposit_days: int
    balance_days: int
    deposit_fixed_minor: int | None = None
    payments_before: tuple[PaymentRow, ...] = ()
    payments_after: tuple[PaymentRow, ...] = ()
    final_count_fall: Decimal | None = None
    final_count_on: date | None = None
    final_count_usual: bool = False
    cancellation_terms: str = ""
    cancellation_table: tuple[RetainedRow, ...] = ()
    note: str = ""


def draft_begin(*, inquiry: Inquiry, kitchen: Kitchen, at: datetime) -> Quote:
    """Create an empty draft with the kitchen's usual terms, in the caller's transaction.

    Its dates are computed when it is sent: until then event and table change.
    """
    today = at.astimezone(ZoneInfo(kitchen.time_zone)).date()
    return Quote.objects.create(
        inquiry=inquiry,
        number=number_next("quote"),
        created_at=at,
        costing_date=today,
        currency=kitchen.currency,
        deposit_share=kitchen.deposit_share,
        deposit_days=kitchen.deposit_days,
        deposit_fixed_minor=kitchen.deposit_minor,
        payments_before=kitchen.payments_before,
        balance_days=kitchen.balance_days,
        payments_after=kitchen.payments_after,
        final_count_fall=kitchen.final_count_fall,
        cancellation_terms=kitchen.cancellation_terms,
        cancellation_table=kitchen.cancellation_table,
    )


def end_of(day: date, zone: ZoneInfo) -> datetime:
    """Return the last minute of a day in the kitchen's zone."""
    return datetime.combine(day, time(23, 59), tzinfo=zone)


@transaction.atomic(durable=True)
def draft_start(*, inquiry_id: int, by: str, at: datetime) -> Quote:
    """Create another quote for an inquiry; if there is a draft, return it.

    Raises
    ------
    Inquiry.DoesNotExist
        If there is none.
    InquiryClosed
        If it is closed.
    """
    inquiry = Inquiry.objects.select_for_update().get(pk=inquiry_id)
    if inquiry.closed_at is not None:
        raise InquiryClosed(what=str(inquiry))
    draft = inquiry.quotes.filter(status=QuoteStatus.DRAFT).first()
    if draft is not None:
        return draft
    last = inquiry.quotes.order_by("-pk").first()
    draft = draft_begin(inquiry=inquiry, kitchen=kitchen_now(), at=at)
    if last is not None:
        lines_write(draft, table_of(last), with_money=last.currency == draft.currency)
        draft.save(update_fields=["discount", "rush"])
    audit(draft, "begin", by=by, at=at)
    return draft


def table_version(quote: Quote) -> str:
    """Return the version of the table as stored: with the inquiry's guests and pieces, which are saved with it."""
    return version_mark([table_of(quote), *stored(quote.inquiry, ["guests", "pieces_per_guest"])])


def rows_version(quote: Quote) -> str:
    """Return the version of the table's rows alone: what was typed into them fits no others."""
    table = table_of(quote)
    return version_mark([table.lines, table.extras])


def terms_version(quote: Quote) -> str:
    """Return the version of a draft's terms as stored."""
    return version_mark(stored(quote, Terms.__dataclass_fields__))


@transaction.atomic(durable=True)
def draft_save(
    *,
    quote_id: int,
    table: DessertTable,
    by: str,
    at: datetime,
    guests: int | None = None,
    pieces_per_guest: Decimal | None = None,
    version: str = "",
) -> Quote:
    """Save the table. A recorded override reason is dropped if the table changed.

    ``guests`` and ``pieces_per_guest``, if given, are saved with the inquiry. ``version`` is that of the table the
    owner started from, so that a table saved meanwhile is not overwritten.

    Raises
    ------
    Quote.DoesNotExist
        If there is none.
    NotADraft
        If it was sent or withdrawn.
    Overtaken
        If another table was saved since ``version``.
    """
    # Whoever changes the inquiry locks it first and its draft second; so does this.
    Inquiry.objects.select_for_update(of=("self",)).filter(quotes=quote_id).first()
    quote = _draft(quote_id)
    unchanged(quote, version, table_version, name=Reason("the_table", {"what": str(quote)}))
    before = table_of(quote)
    changed = before != table
    if changed:
        lines_write(quote, table)
        quote.override_reason, quote.override_by, quote.override_at = "", "", None
    quote.costing_date = at.astimezone(ZoneInfo(kitchen_now().time_zone)).date()
    _save(quote, ["override_reason", "override_by", "override_at", "discount", "rush", "costing_date"])
    _guests_save(quote, guests=guests, pieces_per_guest=pieces_per_guest)
    if changed:
        asked = asked_of(kitchen_now().allergen_list)
        named = [extra.name for extra in table.extras if only_named(extra, asked)]
        eaten = [extra.name for extra in table.extras if sounds_eaten(extra.name, extra.food, asked)]
        known = [extra.name for extra in table.extras if extra.free_by]
        params = {"only_named": named, "not_eaten": eaten, "free_by": known, **_what_changed(before, table)}
        audit(quote, "save_table", by=by, at=at, params={name: names for name, names in params.items() if names})
    return quote


def _what_changed(before: DessertTable, after: DessertTable) -> dict[str, Any]:
    """Return what of a table is another: quantities by the product's name, and whether anything besides is."""
    was, now = ({line.product_id: line.units for line in table.lines} for table in (before, after))
    other = [key for key in {**was, **now} if was.get(key, 0) != now.get(key, 0)]
    names = dict(Product.objects.filter(pk__in=other).values_list("pk", "name")) if other else {}
    units = [[names.get(key, ""), was.get(key, 0), now.get(key, 0)] for key in other]
    same = {line.product_id: line for line in before.lines}
    besides = (before.extras, before.discount, before.rush) != (after.extras, after.discount, after.rush) or any(
        (line.share, line.unit_price_minor) != (same[line.product_id].share, same[line.product_id].unit_price_minor)
        for line in after.lines
        if line.product_id in same
    )
    return {"units": units, "besides": besides}


def _guests_save(quote: Quote, **given: int | Decimal | None) -> None:
    """Save with the inquiry what was entered beside the table."""
    entered = {name: value for name, value in given.items() if value is not None}
    if entered:
        Inquiry.objects.filter(pk=quote.inquiry_id).update(**entered)


def lines_write(quote: Quote, table: DessertTable, *, with_money: bool = True) -> None:
    """Write the table's rows and set discount and rush on the quote; the caller saves the quote."""
    quote.lines.all().delete()
    quote.extras.all().delete()
    QuoteLine.objects.bulk_create(
        QuoteLine(quote=quote, position=place, **_columns(line, with_money=with_money))
        for place, line in enumerate(table.lines)
    )
    QuoteExtra.objects.bulk_create(
        QuoteExtra(
            quote=quote,
            position=place,
            name=extra.name,
            cost_minor=extra.cost_minor,
            amount_minor=extra.amount_minor,
            tax_id=extra.tax_id,
            food=extra.food,
            allergens=list(extra.allergens),
            may_contain=list(extra.may_contain),
            free_of=list(extra.free_of),
            diet_answers=dict(extra.facts) | ({FREE_BY: extra.free_by} if extra.free_by else {}),
        )
        for place, extra in enumerate(table.extras if with_money else ())
    )
    quote.discount, quote.rush = table.discount, table.rush


def _columns(line: TableLine, *, with_money: bool) -> dict[str, Any]:
    return {
        "product_id": line.product_id,
        "units": line.units,
        "unit_price_minor": line.unit_price_minor if with_money else None,
        "share": line.share,
    }


@transaction.atomic(durable=True)
def draft_terms(*, quote_id: int, terms: Terms, by: str, at: datetime, version: str = "") -> Quote:
    """Set the terms of a draft.

    Raises
    ------
    Quote.DoesNotExist
        If there is none.
    NotADraft
        If it was sent or withdrawn.
    Overtaken
        If their version is no longer ``version``.
    NoteUnproven
        If the note or the cancellation terms claim what the desserts or the kitchen do not bear out.
    """
    quote = _draft(quote_id)
    check_note(terms.note, quote, place="note")
    check_note(terms.cancellation_terms, quote, place="cancellation_terms")
    unchanged(quote, version, terms_version, name=Reason("the_terms", {"what": str(quote)}))
    values = asdict(terms) | {
        "cancellation_table": rows_stored(terms.cancellation_table),
        "payments_before": payments_stored(terms.payments_before),
        "payments_after": after_stored(terms.payments_after),
    }
    for name, value in values.items():
        setattr(quote, name, value)
    _save(quote, list(values))
    audit(quote, "set_terms", by=by, at=at)
    return quote


@transaction.atomic(durable=True)
def draft_override(*, quote_id: int, reason: str, by: str, at: datetime, version: str = "") -> Quote:
    """Record why this quote may go below the floor margin; ``version`` is that of the table the reason is about.

    Raises
    ------
    Quote.DoesNotExist
        If there is none.
    NotADraft
        If it was sent or withdrawn.
    OverrideNeedsReason
        If no reason is given.
    Overtaken
        If another table was saved since ``version``.
    """
    if not reason.strip():
        raise OverrideNeedsReason()
    quote = _draft(quote_id)
    unchanged(quote, version, table_version, name=Reason("the_table", {"what": str(quote)}))
    quote.override_reason, quote.override_by, quote.override_at = reason.strip(), by, at
    _save(quote, ["override_reason", "override_by", "override_at"])
    audit(quote, "go_below_floor", by=by, at=at, note=reason.strip())
    return quote


def _draft(quote_id: int) -> Quote:
    quote = Quote.objects.select_for_update(of=("self",)).select_related("inquiry__customer").get(pk=quote_id)
    if quote.status != QuoteStatus.DRAFT:
        raise NotADraft(what=str(quote), status=quote.get_status_display())
    return quote


def _save(quote: Quote, names: list[str]) -> None:
    """Write the columns only while it is still a draft, whether or not the database locks rows."""
    values = {name: getattr(quote, name) for name in names}
    if not Quote.objects.filter(pk=quote.pk, status=QuoteStatus.DRAFT).update(**values):
        raise ChangedMeanwhile(what=str(quote))
