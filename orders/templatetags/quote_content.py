"""Filters and tags for a quote's content on the quote page, in mails and in documents."""

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from typing import Any, Final

from django import template
from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.kitchen.selectors import kitchen
from catalog.kitchen.trace_words import trace_words
from catalog.pantry.allergens import covered, need_choices
from catalog.pantry.diets import DIET_FACTS
from catalog.pantry.other_words import needs_named
from catalog.pantry.presenters import diet_words, label_words, need_words, untrue_sentence
from catalog.products.claims import unproven_words
from catalog.web import display
from orders.approvals.models import Message
from orders.documents.cold_words import cold_words
from orders.documents.content import Line, QuoteContent, content_read
from orders.documents.label_words import diets_with_names, extra_label, facts_words, line_diets, line_facts, line_label
from orders.documents.need_words import NeedShown, need_shown
from orders.documents.offered_words import times_shown
from orders.documents.short_need_words import NeedInShort, need_in_short, needs_together
from orders.inquiries.presenters import list_name
from orders.invoices.how_to_pay_content import how_to_pay_now
from orders.invoices.parts import open_parts
from orders.invoices.presenters import days_late, invoice_status, supply_words, tax_number_words
from orders.mail.selectors import mail_leaves
from orders.orders.cancel_presenters import canceled_sentences
from orders.orders.presenters import informing_short, taken_off_sentences
from orders.quotes.amendments.fall_presenters import fall_words
from orders.quotes.draft.allergens import (
    NOTHING_CHANGED,
    LabelChange,
    SinceQuote,
    food_extras,
    line_since,
    needs_stored,
)
from orders.quotes.draft.answer_presenters import answer_asked
from orders.quotes.draft.message_answers import has_own_words, replied_of
from orders.quotes.draft.presenters import since_needs, since_others, since_sentences
from orders.quotes.models import Quote
from orders.quotes.terms.cancellation_presenters import cancellation_now, cancellation_rows
from orders.quotes.terms.presenters import balance_parts, payment_when
from orders.quotes.terms.selectors import deposit_at_once, deposit_by

register = template.Library()
register.simple_tag(line_label)
register.simple_tag(extra_label)
register.simple_tag(mail_leaves)
register.simple_tag(answer_asked)
register.simple_tag(how_to_pay_now, name="how_to_pay")
register.filter("cancellation_now", cancellation_now)
register.filter("cancellation_rows", cancellation_rows)
register.filter("canceled_sentences", canceled_sentences)
register.filter("deposit_by", deposit_by)
register.filter("payment_when", payment_when)
register.filter("balance_parts", balance_parts)
register.filter("fall_words", fall_words)
register.filter("open_parts", open_parts)
register.filter("deposit_at_once", deposit_at_once)
register.filter("times_shown", times_shown)
register.filter("line_diets", line_diets)
register.filter("line_facts", line_facts)
register.filter("since_shown", since_sentences)
register.filter("since_needs", since_needs)
register.filter("since_others", since_others)
register.filter("informing_short", informing_short)
register.filter("inquiry_list", list_name)
register.filter("zone_name", display.zone_name)
register.filter("supply_words", supply_words)
register.filter("invoice_status", invoice_status)
register.filter("days_late", days_late)
register.filter("tax_number", tax_number_words)
register.filter("taken_off_sentences", taken_off_sentences)

HOLDING_CAUTION: Final = marked(
    "This is for food that comes to you cold. Your local food code comes first: follow it where it allows less time "
    "or asks for colder food."
)


#: So many plain messages stand on a sheet and on an order's page, the newest ones.
NEWEST: Final = 3


@register.filter
def newest(messages: Sequence[Any]) -> Sequence[Any]:
    """Return the newest of some messages, the newest first."""
    return messages[::-1][:NEWEST]


@register.filter
def newest_of(messages: Sequence[Any], only: object) -> Sequence[Any]:
    """Return all messages, or the newest ``only``."""
    return newest(messages) if only else messages


@register.filter
def says_more(message: Message) -> bool:
    """Return whether a message says more than the counts that it asks for."""
    return has_own_words(message)


@register.filter
def more_than_newest(messages: Sequence[Any]) -> int:
    """Return how many there are besides the newest ones."""
    return max(len(messages) - NEWEST, 0)


@register.filter
def note_unchecked(content: QuoteContent) -> list[str]:
    """Write what an allergy note names that the country's list has not, and no need of the quote stands for."""
    asked = {code for code, _ in need_choices(kitchen().allergen_list)}
    stand = [covered(code) for code in content.event.allergies]
    named = (
        code
        for code in needs_named(content.event.allergy_note)
        if code not in asked and not any(covered(code) <= one for one in stand)
    )
    unchecked = gettext("%(need)s: we have not checked our desserts for it; ask us.")
    return [unchecked % {"need": _capitalized(need_words([code]))} for code in named]


def _capitalized(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"


@register.filter
def one_line(text: str) -> str:
    """Write several lines as one, with commas."""
    return ", ".join(part for line in text.splitlines() if (part := line.strip(" ,")))


@register.filter
def valid_until(quote: Quote) -> datetime | None:
    """Return until when a quote is valid: of a sent one as its content says it."""
    return content_read(quote.content).valid_until if quote.content else quote.valid_until


@register.filter
def utc(moment: datetime) -> str:
    """Write a moment in coordinated universal time."""
    return f"{moment.astimezone(UTC):%Y-%m-%d %H:%M:%S} UTC"


@register.simple_tag
def needs_now(content: QuoteContent, since: SinceQuote | str = "", *, unmet: bool = False) -> list[NeedShown]:
    """Return the guests' needs in words: which desserts serve each by now, and which do not.

    ``since`` is what changed since the quote was sent; without it they are as the content has them. ``unmet`` are
    those that some dessert of the table does not serve.
    """
    if isinstance(since, SinceQuote) and since.table:
        every = [need_shown(one.need, one.changed, _day_sent(content)) for one in since.table]
    else:
        every = list(map(need_shown, needs_stored(content)))
    if isinstance(since, SinceQuote):
        named = {need.need for need in needs_stored(content)}
        every += [need_shown(need) for need in since.needs if need.need not in named]
    return [need for need in every if not (unmet and need.met)]


@register.simple_tag
def needs_in_short(content: QuoteContent, since: SinceQuote | str = "") -> list[NeedInShort]:
    """Return the guests' needs, each in one short sentence for the customer, as they are served by now.

    What was recorded or written since the quote was sent comes after what it answers.
    """
    extras = {extra.name for extra in content.extras} - {line.name for line in content.lines}
    stored = needs_stored(content)
    if not isinstance(since, SinceQuote):
        return [need_in_short(need, extras=extras) for need in stored]
    named = {need.need for need in stored}
    newer = {need.need: need for need in (*since.named, *since.needs) if need.need not in named}
    if since.table:
        found = [need_in_short(one.need, one.changed, _day_sent(content), extras) for one in since.table]
    else:
        found = [need_in_short(need, extras=extras) for need in stored]
    return [*found, *(need_in_short(need, extras=extras) for need in newer.values())]


@register.simple_tag
def together_now(content: QuoteContent, since: SinceQuote | str = "") -> str:
    """Write what suits a guest who has several of a quote's needs, with those recorded or written since, by now."""
    known = since if isinstance(since, SinceQuote) else NOTHING_CHANGED
    needs = [one.need for one in known.table] or needs_stored(content)
    named = {need.need for need in needs}
    newer = {need.need: need for need in (*known.named, *known.needs) if need.need not in named}
    return needs_together([*needs, *newer.values()])


def _day_sent(content: QuoteContent) -> str:
    return display.day(content.sent_at)


@register.simple_tag
def diets_of_dishes(content: QuoteContent, since: SinceQuote | str = "") -> list[tuple[str, str]]:
    """Return each diet that desserts serve, in words, with their names; it stands once, not beside every dessert.

    What a dessert is by now says its label, where that changed: it is left out here.
    """
    lines = [line for line in content.lines if changed_of(since, line) is None]
    # Of an extra that is food no diet is stated: beside one, nothing is said of all.
    every = 0 if food_extras(content) else len(content.lines)
    return [(diet_words([code]), names) for code, names in diets_with_names(lines, every)]


@register.simple_tag
def cold_in_short(content: QuoteContent) -> str:
    """Write how long the desserts may be out of the cold, in one sentence; nothing where no rule sets a time."""
    return cold_words(content)


@register.simple_tag
def changed_of(since: SinceQuote | str, line: Line) -> LabelChange | None:
    """Return what changed about a dessert's allergens since the quote was sent; None where nothing did."""
    return since.of(line.product) if isinstance(since, SinceQuote) else None


@register.simple_tag
def line_today(line: Line, change: LabelChange) -> Line:
    """Return a dessert with what is known of its allergens today besides what the quote says."""
    return line_since(line, change)


@register.simple_tag
def description_today(since: SinceQuote | str, line: Line) -> str:
    """Return a dessert's description; nothing where it claims what does not hold any more."""
    change = changed_of(since, line)
    if change is None or not unproven_words(line.description, change.today, change.which):
        return line.description
    return ""


@register.filter
def untrue_of(change: LabelChange) -> str:
    """Write which words of a dessert's name and texts do not hold any more; empty where all do."""
    return _capitalized(f"{untrue_sentence(change.untrue)}.") if change.untrue else ""


@register.filter
def today_label(change: LabelChange) -> str:
    """Write what a dessert declares today."""
    one = change.today
    label = label_words(one.allergens, one.may_allergens, one.unchecked_allergens, change.which, names=one.names)
    facts = facts_words(code for code in DIET_FACTS if code in one.contains)
    lost = gettext("Not known to be suitable: %(diets)s.") % {"diets": need_words(change.diets)} if change.diets else ""
    return " ".join(filter(None, (label, facts, lost, untrue_of(change))))


@register.filter
def cross_contact(content: QuoteContent) -> str:
    """Return what a sent quote says about traces, and the standing caution: for its own PDF, which stays as it is."""
    return trace_words(content.cross_contact)


@register.simple_tag
def traces_today() -> str:
    """Return what the kitchen says about traces by now, and the standing caution: for all that is written now."""
    return trace_words(display.current().cross_contact)


@register.filter
def holding_lines(content: QuoteContent) -> list[tuple[str, str]]:
    """Return each holding instruction once, with its desserts; those shared by several come last."""
    ways: dict[str, list[str]] = {}
    for line in content.lines:
        for words in dict.fromkeys(part.strip() for part in line.holding.splitlines() if part.strip()):
            ways.setdefault(words, []).append(line.name)
    ways_of: dict[tuple[str, ...], list[str]] = {}
    for words, names in sorted(ways.items(), key=lambda way: len(way[1])):
        ways_of.setdefault(tuple(names), []).append(words)
    every = [line.name for line in content.lines]
    groups = list(ways_of)
    return [("\n".join(ways_of[names]), _whom(names, groups[:place], every)) for place, names in enumerate(groups)]


def _whom(names: Sequence[str], before: Iterable[Sequence[str]], every: Sequence[str]) -> str:
    """Name the desserts of an instruction; a long list of all that have none before it is short."""
    if len(names) == len(every) > 1:
        return gettext("All desserts")
    others = set(every).difference(*before)
    if len(names) > 1 and set(names) == others:
        return gettext("All other desserts")
    return display.joined(names)


@register.simple_tag
def holding_caution() -> str:
    """Return the caution above the holding times, once per document."""
    return gettext(HOLDING_CAUTION)


@register.filter
def was_replied(message: Message) -> bool:
    """Return whether somebody replied to a message without stating anything of the list."""
    return message.pk in replied_of([message])
