"""A sent quote's content with one of its windows: the one that was approved, or the one that is looked at."""

from dataclasses import replace

from orders.documents.content import Line, QuoteContent, content_read
from orders.documents.offered import Offered
from orders.quotes.models import Quote

#: The number of the window that was asked for; those that are offered beside it count from one.
ASKED: int = 0


def content_agreed(quote: Quote) -> QuoteContent:
    """Return the content of a sent quote as it was agreed to: with the window that was chosen, if there was a choice.

    Of one that nobody approved it is the content as it was sent.
    """
    content = content_read(quote.content)
    return content if quote.window_chosen is None else at_window(content, quote.window_chosen)


def at_window(content: QuoteContent, number: int) -> QuoteContent:
    """Return a content with one of its windows alone: the one asked for, or the offered one of that number."""
    if number == ASKED:
        return replace(content, offered=())
    chosen = content.offered[number - 1]
    return replace(
        content,
        event=replace(content.event, window_start=chosen.window_start, window_end=chosen.window_end),
        lines=tuple(_line(line, chosen) for line in content.lines),
        final_count_on=chosen.final_count_on,
        deposit_latest_on=chosen.deposit_latest_on,
        payments_before=tuple(
            replace(one, due_on=on) for one, on in zip(content.payments_before, chosen.payments_on, strict=True)
        ),
        statement=chosen.statement,
        offered=(),
    )


def _line(line: Line, chosen: Offered) -> Line:
    code = line.product
    return replace(
        line,
        holding=chosen.holding.get(code, line.holding),
        serve_by=chosen.serve_by.get(code, line.serve_by),
    )
