"""The data for labels of the desserts handed over on some days, as a CSV file for whatever prints labels."""

import io
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import timedelta
from itertools import zip_longest
from typing import Final

from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.cooling.time_used import products_used_up
from catalog.kitchen.selectors import kitchen
from catalog.kitchen.trace_words import trace_words
from catalog.pantry.declarations import Serves
from catalog.pantry.other_words import may_name_any_need
from catalog.pantry.presenters import allergen_words, counted_need_words, diet_words, label_words, named_words
from catalog.records.csv_cells import CSV_MARK, csv_writer, safe_text
from catalog.web import display
from orders.cooling_log.limit_presenters import used_up_words
from orders.cooling_log.limits import by_today, limits_recorded, without_limit
from orders.cooling_log.making_days import units_of
from orders.cooling_log.presenters import mark_shown
from orders.cooling_log.selectors import book_now
from orders.documents.agreed import content_agreed
from orders.documents.content import Charge, Line, QuoteContent
from orders.documents.label_words import extra_label, line_diets, line_label
from orders.documents.need_words import dish_answer
from orders.orders.models import Order
from orders.production.label_marks import OfLine, hold_by_code, marks_by_line
from orders.quotes.cooling.remark_presenters import minded_words
from orders.quotes.draft.allergens import LabelChange, SinceQuote, line_since, needs_stored, since_now
from orders.quotes.draft.cooling import OutFrom, out_from
from orders.quotes.draft.holding_words import both_held, hold_words, holding_words, unrepeated
from orders.quotes.draft.message_needs import messages_elsewhere, messages_unread_of, names_somebody, refers_back
from orders.quotes.draft.note_needs import order_note_open
from orders.quotes.draft.presenters import label_change_words
from orders.quotes.models import QuoteExtra

HEADS: Final = (
    marked("Order"),
    marked("Customer"),
    marked("Handed over"),
    marked("Dessert"),
    marked("Pieces"),
    marked("Contains"),
    marked("May contain"),
    marked("Not checked yet"),
    marked("Made with"),
    marked("Suits"),
    marked("Changed since the quote"),
    marked("Holding and serving"),
    marked("About traces"),
    marked("Cooling"),
    marked("Statement"),
    marked("Not for guests"),
    marked("Serve by"),
)
#: Places in a record of how many pieces there are, and of how they are held and served.
_PIECES, _HOLDING = 1, 8
_NONE: Final = marked("none of the major allergens")
#: What stands in the cell of guests of each dessert while a message is open, or nobody has read it.
_UNANSWERED: Final = marked("A message not answered yet may name what a guest cannot eat: “%(text)s”")
_NOTED: Final = marked("The kitchen note may name what a guest cannot eat: “%(text)s”")
_UNREAD: Final = marked("A message nobody has read yet: “%(text)s”")
_ASK: Final = marked("ask us")
_OPEN: Final = marked("not checked yet: ask us")


def label_file(orders: Sequence[Order]) -> bytes:
    """Return the file: a record for each dessert of each order and for each extra that is food, in their order.

    What a dessert contains is what the approved quote says, and today's answers besides: a label is about the food.
    """
    out = io.StringIO(newline="")
    home, book = kitchen(), book_now()
    writer = csv_writer(out, home.locale)
    writer.writerow([gettext(head) for head in HEADS])
    contents = [content_agreed(order.quote) for order in orders]
    since = since_now([(content, order.quote.inquiry) for content, order in zip(contents, orders, strict=True)])
    unread = _unread(orders, since)
    open_marks, holds_at = marks_by_line(orders), hold_by_code(orders)
    limits_of = limits_recorded(orders)
    for order, content, changed in zip(orders, contents, since, strict=True):
        changes = {change.product: change for change in changed.changes}
        begins, limits = out_from(order.event, home), limits_of[order.pk]
        used = {} if book is None else products_used_up(units_of(order), book)
        limited = [
            _with_used(line, used)
            if line.product in used
            else by_today(line, limits.get(line.product), begins, holding_words)
            for line in content.lines
        ]
        lines = [
            _record(content, _with_hold(line, holds_at), changes.get(line.product, LabelChange(line.name)))
            for line in limited
        ]
        # The order's lines are the content's, in its order.
        marks = open_marks.get(order.pk, [])
        thrown = [any(mark.all_gone for mark in of_line.marks) for of_line in marks]
        lines = [_thrown(record) if gone else record for record, gone in zip_longest(lines, thrown[: len(lines)])]
        cooling = map(_cooling, marks)
        records = [(*record, words) for record, words in zip_longest(lines, list(cooling)[: len(lines)], fillvalue="")]
        says = [_statement(content, line_since(line, changes.get(line.product))) for line in content.lines]
        extras = [extra for extra in content.extras if extra.food != QuoteExtra.Food.NONE]
        records += [_extra(content, extra) for extra in extras]
        says += [
            extra_label(content, extra, gettext(_ASK)) or label_words((), (), (), "", ask=gettext(_ASK))
            for extra in extras
        ]
        against = needs_against(changed, content)
        wrote = [*(gettext(_UNANSWERED) % {"text": one.text} for one in changed.messages), *unread[order.pk]]
        if (note := order_note_open(order.note, order.quote.inquiry)) is not None:
            wrote.append(gettext(_NOTED) % {"text": note.text})
        not_for = ["; ".join(filter(None, [against.get(record[0], ""), *wrote])) for record in records]
        serve_by = [
            "" if line.product in used or gone else _serve_by(line, begins)
            for line, gone in zip_longest(limited, thrown[: len(limited)])
        ]
        serve_by += ["" for _ in extras]
        records = [(*record, *words) for record, *words in zip(records, says, not_for, serve_by, strict=True)]
        first = (order.number, content.customer.name, display.day(timezone.localtime(order.window_start)))
        writer.writerows([safe_text(cell) for cell in (*first, *record)] for record in records)
    return CSV_MARK + out.getvalue().encode()


def _unread(orders: Sequence[Order], since: Sequence[SinceQuote]) -> dict[int, list[str]]:
    """Write what customers wrote that nobody has read: all of it where any may name a need or means somebody.

    Plain messages alone, also about another quote of theirs, are none of a label's.
    """
    inquiries = [order.quote.inquiry for order in orders]
    wrote, others = messages_unread_of(inquiries), messages_elsewhere(inquiries)
    found = {}
    for order, changed in zip(orders, since, strict=True):
        open_ = {one.message for one in changed.messages}
        texts = [one.text for one in wrote.get(order.quote.inquiry_id, ()) if one.pk not in open_]
        texts += [one.text for one in others.get(order.quote.inquiry_id, ())]
        named = open_ or any(may_name_any_need(one) or names_somebody(one) or refers_back(one) for one in texts)
        found[order.pk] = [gettext(_UNREAD) % {"text": text} for text in texts] if named else []
    return found


def _with_used(line: Line, used: Mapping[str, float]) -> Line:
    """Return a line without the time out that it was sent with, where its own steps have used it up."""
    bare = without_limit(line, stated=True)
    return replace(bare, holding="\n".join(filter(None, (bare.holding, used_up_words(used[line.product])))))


def _with_hold(line: Line, holds_at: Mapping[str, float]) -> Line:
    """Return a line that says how cold it is kept, where the quote says nothing of it and nothing else does."""
    celsius = holds_at.get(line.product)
    if celsius is None or line.out_minutes is not None:
        return line
    own = hold_words(celsius)
    return replace(line, holding=both_held(unrepeated(line.holding, own), own))


def _record(content: QuoteContent, line: Line, change: LabelChange) -> tuple[str, ...]:
    now = line_since(line, change)
    return (
        line.name,
        str(line.units),
        *_label(content, now.allergens, now.may_contain, now.unchecked, now.allergen_names),
        allergen_words(now.made_with),
        diet_words(now.diets),
        "; ".join(label_change_words(change)),
        line.holding.replace("\n", " "),
        trace_words(display.current().cross_contact),
    )


def _thrown(record: tuple[str, ...]) -> tuple[str, ...]:
    """Return a record of what was discarded: it has no pieces, and nothing says how it is kept."""
    return tuple("0" if at == _PIECES else "" if at == _HOLDING else cell for at, cell in enumerate(record))


def _serve_by(line: Line, out: OutFrom) -> str:
    """Write when a limit of time out of the cold ends, as planned: as it was sent, else from when the order leaves.

    A customer who collects begins the time: then it says how long.
    """
    if line.serve_by is not None:
        return display.moment(line.serve_by)
    if line.out_minutes is None or line.until_warm:
        return ""
    if out.moment is None:
        text = gettext("less than %(time)s from pickup") if line.out_under else gettext("%(time)s from pickup")
        return text % {"time": display.duration(line.out_minutes)}
    ends = out.moment + timedelta(minutes=line.out_minutes - (1 if line.out_under else 0))
    return display.moment(timezone.localtime(ends))


def _statement(content: QuoteContent, line: Line) -> str:
    """Write all that the quote says of a dessert, to print as it is."""
    return f"{line_label(content, line, gettext(_ASK))} {line_diets(line)}".strip()


def needs_against(changed: SinceQuote, content: QuoteContent) -> dict[str, str]:
    """Write for each dish the needs among the guests that it does not serve, with how many have them, and why."""
    needs = {need.need: need for need in needs_stored(content)}
    needs |= {one.need.need: one.need for one in changed.table} | {need.need: need for need in changed.needs}
    found: dict[str, list[str]] = {}
    for need in needs.values():
        who = counted_need_words([need.need], {} if need.guests is None else {need.need: need.guests})
        for dish in need.dishes:
            if dish.serves != Serves.FREE:
                found.setdefault(dish.name, []).append(f"{who} ({dish_answer(dish.serves, dish.codes)})")
    return {name: "; ".join(words) for name, words in found.items()}


def _extra(content: QuoteContent, extra: Charge) -> tuple[str, ...]:
    known = content.allergen_list and (extra.food or extra.unchecked)
    label = _label(content, extra.allergens, extra.may_contain, extra.unchecked, {}) if known else None
    label = label or (gettext(_OPEN), gettext(_OPEN), gettext("all"))
    return (
        extra.name,
        "",
        *label,
        allergen_words(extra.made_with),
        "",
        "",
        "",
        trace_words(display.current().cross_contact),
        "",
    )


def _cooling(of_line: OfLine) -> str:
    """Write what of a dessert or its batches is not cold in time, or only likely, and not measured yet."""
    shown = map(mark_shown, of_line.marks)
    words = [" ".join(filter(None, (f"{one.name}: {_ended(one.sentence)}", one.after))) for one in shown]
    return " ".join([*words, *([minded_words(of_line.likely)] if of_line.likely else [])])


def _ended(sentence: str) -> str:
    return sentence if sentence.endswith((".", "!", "?")) else f"{sentence}."


def _label(
    content: QuoteContent,
    contains: tuple[str, ...],
    may: tuple[str, ...],
    unchecked: tuple[str, ...],
    names: Mapping[str, Collection[str]],
) -> tuple[str, str, str]:
    """Write what a label names; that it holds none of the list only where all of it was checked.

    A cell is never empty because nobody checked: whoever prints it alone would print that there is none.
    """
    which = content.allergen_list
    open_ = allergen_words(unchecked) if which else gettext("all others")
    nothing = "" if may or open_ else gettext(_NONE)
    holds, warns = named_words(contains, names, which) or nothing, named_words(may, names, which)
    return (_with_open(holds), _with_open(warns), open_) if open_ else (holds, warns, open_)


def _with_open(words: str) -> str:
    return gettext("%(words)s; others not checked yet: ask us") % {"words": words} if words else gettext(_OPEN)
