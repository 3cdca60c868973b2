"""What one revision of a quote changed of another."""

from catalog.web import display
from orders.documents.content import QuoteContent


def changes_between(before: QuoteContent, after: QuoteContent) -> list[str]:
    """Say in sentences what one revision changed of another."""
    return [*_line_changes(before, after), *_charge_changes(before, after), *_word_changes(before, after)]


def _line_changes(before: QuoteContent, after: QuoteContent) -> list[str]:
    old = {line.product: line for line in before.lines}
    new = {line.product: line for line in after.lines}
    said = [f"{line.units} × {line.name} added." for code, line in new.items() if code not in old]
    said += [f"{line.units} × {line.name} taken off." for code, line in old.items() if code not in new]
    for code, line in new.items():
        was = old.get(code)
        if was is None:
            continue
        if was.units != line.units:
            said.append(f"{line.name}: {line.units} instead of {was.units}.")
        if was.unit_price_minor != line.unit_price_minor:
            now, then = (display.minor(one.unit_price_minor, after.currency) for one in (line, was))
            said.append(f"{line.name}: {now} each instead of {then}.")
    return said


def _charge_changes(before: QuoteContent, after: QuoteContent) -> list[str]:
    old = {(row.kind, row.name): row.amount_minor for row in (*before.extras, *before.shown_charges)}
    new = {(row.kind, row.name): row.amount_minor for row in (*after.extras, *after.shown_charges)}
    said = []
    for key in dict.fromkeys([*old, *new]):
        if old.get(key) == new.get(key):
            continue
        now, then = (display.minor(one.get(key) or 0, after.currency) for one in (new, old))
        if key not in old:
            said.append(f"{key[1]} added: {now}.")
        elif key not in new:
            said.append(f"{key[1]} taken off: {then}.")
        else:
            said.append(f"{key[1]}: {now} instead of {then}.")
    if before.total_minor != after.total_minor:
        now, then = (display.minor(one.total_minor, after.currency) for one in (after, before))
        said.append(f"The total is {now} instead of {then}.")
    return said


def _word_changes(before: QuoteContent, after: QuoteContent) -> list[str]:
    said = []
    if (before.event.window_start, before.event.window_end) != (after.event.window_start, after.event.window_end):
        window = display.window(after.event.window_start, after.event.window_end)
        said.append(
            f"Hand-over {window} instead of {display.window(before.event.window_start, before.event.window_end)}."
        )
    if before.event.place != after.event.place:
        said.append(f"Place: {after.event.place or 'none'} instead of {before.event.place or 'none'}.")
    if before.event.guests != after.event.guests:
        said.append(f"{after.event.guests or 'No number of'} guests instead of {before.event.guests or 'no number'}.")
    if before.valid_until != after.valid_until:
        said.append(f"They can say yes until {display.day(after.valid_until)}.")
    if before.deposit_minor != after.deposit_minor:
        said.append(f"Deposit {display.minor(after.deposit_minor, after.currency)}.")
    for name, word in (("note", "The note"), ("cancellation_terms", "The cancellation terms")):
        if getattr(before, name) != getattr(after, name):
            said.append(f"{word} changed.")
    held = {line.product: line.holding for line in before.lines}
    said += [
        f"How to hold and serve {line.name} changed."
        for line in after.lines
        if line.holding != held.get(line.product, line.holding)
    ]
    return said
