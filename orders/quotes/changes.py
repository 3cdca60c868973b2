"""The differences between two revisions of a quote: reasons with parameters, in the order of the quote page."""

from collections.abc import Collection, Iterator
from datetime import date, datetime
from typing import Final

from catalog.pantry.other_needs import is_other
from catalog.records.reasons import Reason
from orders.documents.content import Event, Line, QuoteContent
from orders.records.money import from_minor

#: How much an answer says against a need.
_RANKS: Final = {"may": 1, "contains": 2}
#: What an answer says now that said more before -> the change.
_STATED_LESS: Final = {"may": "contains_now_may", "unchecked": "not_known_any_more", "free": "contains_no_more"}
#: Changes by which less is said of what something contains than before: somebody acknowledges each by name.
LESS: Final = frozenset({"contains_no_more", "may_contain_no_more", "contains_now_may", "not_known_any_more"})


def changes_between(before: QuoteContent, after: QuoteContent, *, given: Collection[str] = ()) -> list[Reason]:
    """Return the differences between two revisions; the parameter ``was`` is the value before.

    ``given`` are the products whose price is given by hand: any other price was computed with the whole order.
    """
    return [
        *_line_changes(before, after, given),
        *_charge_changes(before, after),
        *_event_changes(before, after),
        *_need_changes(before, after),
        *_answer_changes(before, after),
        *_terms_changes(before, after),
    ]


def _line_changes(before: QuoteContent, after: QuoteContent, given: Collection[str]) -> Iterator[Reason]:
    old = {line.product: line for line in before.lines}
    new = {line.product: line for line in after.lines}
    for code, line in new.items():
        if code not in old:
            yield Reason("line_added", {"name": line.name, "units": line.units})
    for code, line in old.items():
        if code not in new:
            yield Reason("line_removed", {"name": line.name, "units": line.units})
    for code, line in new.items():
        was = old.get(code, line)
        if was.units != line.units:
            yield Reason("units", {"name": line.name, "now": line.units, "was": was.units})
        if was.unit_price_minor != line.unit_price_minor:
            now, then = (from_minor(one.unit_price_minor, after.currency) for one in (line, was))
            code = "unit_price_units" if was.units != line.units else "unit_price_anew"
            code = "unit_price" if line.product in given else code
            yield Reason(code, {"name": line.name, "now": now, "was": then})
        yield from _label_changes(was, line, asked=bool(before.allergen_list))


def _label_changes(was: Line, line: Line, *, asked: bool) -> Iterator[Reason]:
    """Return what a dessert holds by now and did not before, or no more; of old contents only what they contain."""
    before, now = {*was.allergens, *was.made_with}, (*line.allergens, *(line.made_with if asked else ()))
    contains = tuple(code for code in now if code not in before)
    may = tuple(code for code in line.may_contain if asked and code not in {*before, *was.may_contain})
    stated = [*was.allergens, *was.may_contain]
    held, open_ = {*line.allergens, *line.may_contain}, set(line.unchecked)
    found = {
        "contains": contains,
        "may_contain": may,
        "contains_no_more": tuple(code for code in was.allergens if code not in held | open_),
        "may_contain_no_more": tuple(code for code in was.may_contain if code not in held | open_),
        "contains_now_may": tuple(code for code in was.allergens if code in line.may_contain),
        "not_known_any_more": tuple(code for code in stated if code not in held and code in open_),
    }
    for code, codes in found.items():
        if codes:
            yield Reason(code, {"name": line.name, "codes": codes})


def _charge_changes(before: QuoteContent, after: QuoteContent) -> Iterator[Reason]:
    old = {(row.kind, row.name): row.amount_minor for row in (*before.extras, *before.shown_charges)}
    new = {(row.kind, row.name): row.amount_minor for row in (*after.extras, *after.shown_charges)}
    for key in dict.fromkeys([*old, *new]):
        if old.get(key) == new.get(key):
            continue
        now, then = (from_minor(one.get(key) or 0, after.currency) for one in (new, old))
        code = "charge_added" if key not in old else "charge_removed" if key not in new else "charge"
        yield Reason(code, {"name": key[1], "now": now, "was": then})
    if before.total_minor != after.total_minor:
        now, then = (from_minor(one.total_minor, after.currency) for one in (after, before))
        yield Reason("total", {"now": now, "was": then})


def _event_changes(before: QuoteContent, after: QuoteContent) -> Iterator[Reason]:
    then, now = before.event, after.event
    if _hours(then) != _hours(now):
        windows = {"now": (now.window_start, now.window_end), "was": (then.window_start, then.window_end)}
        yield Reason("window", windows)
    if _times(before) != _times(after):
        yield Reason("times", {"now": [(one.window_start, one.window_end) for one in after.offered]})
    if then.place != now.place:
        yield Reason("place", {"now": now.place, "was": then.place})
    if then.guests != now.guests:
        yield Reason("guests", {"now": now.guests, "was": then.guests})


def _need_changes(before: QuoteContent, after: QuoteContent) -> Iterator[Reason]:
    """Return the needs that are new, for another number of guests, or gone."""
    old, new = _needs(before), _needs(after)
    for code, guests in new.items():
        if code not in old:
            yield Reason("need_added", {"need": (code, guests)})
        elif guests != old[code]:
            yield Reason("need_counted", {"need": (code, guests)})
    for code in old:
        if code not in new:
            yield Reason("need_removed", {"need": (code, None)})


def stated_less(before: QuoteContent, after: QuoteContent) -> list[Reason]:
    """Return what a quote said that something contains, or may contain, and the next one says less of."""
    return [one for one in changes_between(before, after) if one.code in LESS]


def _answer_changes(before: QuoteContent, after: QuoteContent) -> Iterator[Reason]:
    """Return the answers to needs that say less of something than before, where its line does not say so already.

    That is of extras, and of what no list of allergens has. What was renamed is known by its product.
    """
    names = {line.product: line.name for line in after.lines}
    called = {line.name: names.get(line.product, "") for line in before.lines}
    now = {(one.need, dish.name): dish for one in after.needs or () for dish in one.dishes}
    for need in before.needs or ():
        for was in need.dishes:
            dish = now.get((need.need, called.get(was.name, was.name)))
            if dish is None or _RANKS.get(dish.serves, 0) >= _RANKS.get(was.serves, 0):
                continue
            if is_other(need.need) or was.name not in called:
                yield Reason(_STATED_LESS[dish.serves], {"name": dish.name, "codes": was.codes or (need.need,)})


def _needs(content: QuoteContent) -> dict[str, int | None]:
    counts = {need.need: need.guests for need in content.needs or ()}
    return {code: counts.get(code) for code in content.event.allergies}


def _hours(event: Event) -> tuple[datetime, datetime]:
    """Return the window as clocks show it: a corrected time zone of the kitchen is no new time of the event."""
    return event.window_start.replace(tzinfo=None), event.window_end.replace(tzinfo=None)


def _times(content: QuoteContent) -> set[tuple[datetime, datetime]]:
    """Return the windows to choose from beside the one asked for, as clocks show them."""
    return {(one.window_start.replace(tzinfo=None), one.window_end.replace(tzinfo=None)) for one in content.offered}


def _deposit_terms(content: QuoteContent) -> tuple[int, date | None] | None:
    return (content.deposit_days, content.deposit_latest_on) if content.deposit_minor else None


def _deposit_due(before: QuoteContent, after: QuoteContent) -> Iterator[Reason]:
    """Find what changed of when the deposit is due: the days after the approval, or the day at the latest."""
    now, was = _deposit_terms(after), _deposit_terms(before)
    if now is None or was is None:
        if now != was:
            yield Reason("deposit_terms")
        return
    if now[0] != was[0]:
        yield Reason("deposit_days", {"now": now[0], "was": was[0]})
    if now[1] != was[1]:
        dates = {"now": now[1], "was": was[1]}
        yield Reason("deposit_latest", dates) if now[1] and was[1] else Reason("deposit_terms")


def _due_changes(before: QuoteContent, after: QuoteContent) -> Iterator[Reason]:
    """Find what changed of what is due when."""
    if before.deposit_minor != after.deposit_minor:
        now, was = (from_minor(one.deposit_minor, one.currency) for one in (after, before))
        yield Reason("deposit" if was else "deposit_new", {"now": now, "was": was})
    yield from _deposit_due(before, after)
    if before.payments_before != after.payments_before:
        yield Reason("payments_before")
    if before.final_count_on != after.final_count_on:
        yield Reason("final_count", {"now": after.final_count_on}) if after.final_count_on else Reason("no_final_count")
    if before.final_count_fall != after.final_count_fall:
        yield Reason("final_count_fall")
    if before.balance_days != after.balance_days:
        yield Reason("balance_terms", {"now": after.balance_days, "was": before.balance_days})
    if before.payments_after != after.payments_after:
        yield Reason("payments_after")


def _cancellation(content: QuoteContent) -> tuple[object, ...]:
    return content.cancellation_terms, content.cancellation_table


def _terms_changes(before: QuoteContent, after: QuoteContent) -> Iterator[Reason]:
    if before.valid_until.replace(tzinfo=None) != after.valid_until.replace(tzinfo=None):
        yield Reason("valid_until", {"now": after.valid_until})
    yield from _due_changes(before, after)
    if before.note != after.note:
        yield Reason("note")
    if _cancellation(before) != _cancellation(after):
        yield Reason("cancellation_terms")
    holding = {line.product: line.holding for line in before.lines}
    for line in after.lines:
        if line.holding != holding.get(line.product, line.holding):
            yield Reason("holding", {"name": line.name})
