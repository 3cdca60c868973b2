"""The address of a private link, and why a quote can no longer be answered, in words."""

from typing import Final

from django.conf import settings
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.book.selectors import book_current
from catalog.kitchen.selectors import kitchen
from catalog.pantry.presenters import need_words
from catalog.records.errors import CannotPrice
from catalog.web import display
from costing.plan.verdicts import AS_PLANNED, BY_REARRANGING
from orders.approvals.errors import KitchenMustAnswer, TracesChanged
from orders.approvals.quote_page import QuotePage
from orders.documents.agreed import at_window
from orders.documents.content import QuoteContent
from orders.planning.answers import WindowAnswered, read
from orders.planning.in_the_way_presenters import short_sentences
from orders.planning.models import WindowCheck
from orders.planning.presenters import AnswerShown, answer_shown
from orders.planning.problem import leaving
from orders.quotes.cooling.selectors import RuledTable
from orders.quotes.cooling.services import approval_shared
from orders.quotes.cooling.shared import shared_refusal
from orders.quotes.draft.presenters import changed_sentences as label_sentences
from orders.quotes.draft.presenters import short_answer, since_needs, traces_sentences
from orders.quotes.models import Quote
from orders.records.errors import KitchenMustCheck, KitchenMustTell, OrderError
from orders.records.presenters import sentence
from orders.records.slot_errors import NoSlot


def link_address(token: str) -> str:
    """Return the private address of a quote's page, with the token."""
    return f"{settings.SITE_URL}{reverse('link-login', args=[token])}"


def to_list(words: str, inquiry_pk: int) -> str:
    """Write a refusal with the link to where needs are added to the list."""
    address = f"{reverse('inquiry-edit', args=[inquiry_pk])}?needs=note#id_allergies"
    return format_html('{} <a href="{}">{}</a>', words, address, gettext("Add to allergies and diets"))


def changed_sentences(page: QuotePage) -> list[str]:
    """Write what each dessert declares by now and the quote does not, of traces, and needs newer than a yes."""
    lacks = gettext("%(need)s: recorded after you approved, so it is not in the PDF. %(answer)s")
    needs = since_needs(page.since) if page.approved else []
    newer = [lacks % {"need": need.title, "answer": short_answer(need)} for need in needs]
    return [*label_sentences(page.changed), *traces_sentences(page.since_shown), *newer]


def stopped_sentences(page: QuotePage, ruled: RuledTable) -> list[str]:
    """Write for the owner what stops an approval, and what to do about it: a text for each reason."""
    changed = [change for change in page.changed if change.stops]
    found = []
    if changed:
        what = " ".join(label_sentences(changed))
        found.append(
            gettext(
                "The allergens changed since it was sent. %(changes)s Create a revision and send it, so that the "
                "customer reads them before anything is approved."
            )
            % {"changes": what}
        )
    if page.since_shown.traces_stop:
        found.append(sentence(TracesChanged()))
    if page.since.unanswered:
        found.append(
            gettext(
                "Recorded after it was sent, and not in the quote: %(needs)s. Create a revision and send it, so that "
                "the customer reads what serves these guests before anything is approved."
            )
            % {"needs": need_words(one.need for one in page.since.unanswered)}
        )
    found += [
        gettext(
            "A message may name what a guest cannot eat: “%(text)s” Record it as a need, or record that there is "
            "none in it. Until then nothing is approved."
        )
        % {"text": one.text}
        for one in page.since.messages
    ]
    if ruled.unrecorded:
        found.append(
            gettext(
                "%(names)s: not cold in the time your rule asks for, or hot without a stated way of cooling, as the "
                "catalog is now. Record on the quote what is measured instead and by whom, or change its steps."
            )
            % {"names": display.joined([one.name for one in ruled.unrecorded])}
        )
    if ruled.never:
        found.append(
            gettext(
                "%(names)s: may never get cold where it chills, as the catalog is now. Set colder air there, or "
                "change its steps: a record of what is measured does not help."
            )
            % {"names": display.joined([one.name for one in ruled.never])}
        )
    if shared := approval_shared(ruled):
        found.append(sentence(shared_refusal(shared)))
    return found


#: Refusal of an approval -> why it cannot even be tried, and what to do.
_STOPPED: Final = {
    KitchenMustTell.code: marked("The allergens of part of this changed since we sent it."),
    KitchenMustAnswer.code: marked("It does not answer yet what you told us of allergies or diets after we sent it."),
    KitchenMustCheck.code: marked("We first have to settle how part of this is kept cold."),
}


def stopped_sentence(page: QuotePage) -> str:
    """Write why an open quote cannot be approved as it is, and how to ask; empty where it can."""
    if page.stopped is None:
        return ""
    number = kitchen().phone
    if page.waits:
        return _waits(number)
    why = gettext(_STOPPED[page.stopped.code])
    if not number:
        way = gettext("Write to us: we will tell you what we can do, and send you a new quote if it takes one.")
    else:
        way = gettext(
            "Call us on %(number)s or write to us: we will tell you what we can do, and send you a new quote if it "
            "takes one."
        ) % {"number": number.replace(" ", "\u00a0")}
    return f"{why} {way}"


#: Why no approval can be recorded any more, for the kitchen; all else reads as it does for the customer.
_TOO_LATE: Final = {
    "quote_expired": marked(
        "This quote was valid until %(moment)s, so no approval can be recorded. Create a revision and send it first."
    ),
    "quote_event_over": marked(
        "This quote is for %(moment)s, and that time has passed, so no approval can be recorded. If they want it "
        "on another day, change the day on the inquiry and send a revision."
    ),
}


def not_recorded_sentence(refusal: OrderError) -> str:
    """Write why an approval cannot be recorded, and what works instead."""
    if refusal.code in _TOO_LATE:
        return gettext(_TOO_LATE[refusal.code]) % {"moment": display.moment(refusal.params["day"])}
    return sentence(refusal)


def _waits(number: str) -> str:
    """Write that the kitchen answers what they wrote first: it may be about an allergy or a diet."""
    words = gettext(
        "We will answer. Because it may be about an allergy or a diet, this quote can be approved only after that."
    )
    if not number:
        return words
    call = gettext("If it is urgent, call us on %(number)s.") % {"number": number.replace(" ", "\u00a0")}
    return f"{words} {call}"


def time_sentence(page: QuotePage) -> str:
    """Write what became of the check of its time, which was asked for when somebody wanted to approve it."""
    found = page.time_checked
    if found is None:
        return _reserved(page)
    if found.window_chosen is not None:
        return _window_sentence(page.content, found)
    if found.answered_at is None:
        return gettext("We are checking whether we can make it for this time. You will get our answer.")
    answer = read(found.answer)
    if answer.verdict in (AS_PLANNED, BY_REARRANGING) or answer.unstated:
        return gettext("We have checked: we can make it for this time. It is not kept for you until you approve.")
    return gettext("We could not find a time to make it yet. We know that you want it, and will get back to you.")


def _window_sentence(content: QuoteContent, found: WindowCheck) -> str:
    """Write what became of the check of one of several times."""
    event = at_window(content, found.window_chosen or 0).event
    facts = {"window": display.window(event.window_start, event.window_end)}
    if found.answered_at is None:
        return gettext("We are checking whether we can make it for %(window)s. You will get our answer.") % facts
    answer = read(found.answer)
    if answer.verdict in (AS_PLANNED, BY_REARRANGING) or answer.unstated:
        words = gettext(
            "We have checked: we can make it for %(window)s. This time is not kept for you until you approve."
        )
        return words % facts
    words = gettext(
        "We could not find a way to make it for %(window)s yet. We know that you want this time, and will get back to "
        "you. You can also choose another time."
    )
    return words % facts


def _reserved(page: QuotePage) -> str:
    """Write whether the time is kept for whoever decides."""
    if page.day_reserved and page.content.offered:
        event = page.content.event
        facts = {
            "window": display.window(event.window_start, event.window_end),
            "until": display.moment(page.content.valid_until),
        }
        return gettext("We keep %(window)s for you until %(until)s.") % facts
    if page.day_reserved:
        # Said where the quote says until when it is valid, if it can be approved.
        until = {"until": display.moment(page.content.valid_until)}
        return "" if page.can_approve else gettext("We keep this time for you until %(until)s.") % until
    if page.day_released:
        return gettext("We no longer keep this time for you. You can approve the quote while the time is free.")
    return ""


def closed_sentence(page: QuotePage) -> str:
    """Write why the quote can no longer be answered; empty while it can."""
    return sentence(page.closed) if page.closed else ""


def slot_words(answer: WindowAnswered, quote: Quote, content: QuoteContent, *, undecided: bool) -> str:
    """Write for the owner what is in the way of an approval in the plan, and what to do about it."""
    shown = slot_shown(answer, quote, content)
    if undecided:
        first = gettext("No plan was found in which all of it is ready in time.")
    else:
        first = gettext("It can no longer be made for its time.")
    last = gettext(
        "Send a revision with another time; or add what is short on those days, and record the approval yourself."
    )
    return " ".join(filter(None, [first, *(shown.in_the_way if shown else ()), shown.instead if shown else "", last]))


def slot_shown(answer: WindowAnswered, quote: Quote, content: QuoteContent) -> AnswerShown | None:
    """Write what is known about a time that was refused; None while the catalog has an error."""
    try:
        book = book_current()
    except CannotPrice:
        return None
    event = content.event
    way = event.window_start - leaving(event.window_start, quote.inquiry)[0]
    return answer_shown(answer, book, way, event.window_end - event.window_start)


def held_words(name: str, refusal: OrderError) -> str:
    """Write, for the kitchen, that somebody wanted to approve and what was in the way."""
    if isinstance(refusal, NoSlot):
        why = _short_words(refusal) or gettext("No time to make it was found.")
        return gettext("%(name)s wanted to approve; not recorded yet. %(why)s") % {"name": name.strip(), "why": why}
    return gettext("%(name)s wanted to approve this quote on its page, and read: “%(sentence)s”") % {
        "name": name.strip(),
        "sentence": sentence(refusal).strip(),
    }


def _short_words(refusal: NoSlot) -> str:
    """Write what is short in the kitchen's plan; nothing while the catalog has an error."""
    try:
        return " ".join(short_sentences(refusal.answer.in_the_way, book_current()))
    except CannotPrice:
        return ""
