"""The refusals of sending in words, each with the page where it can be fixed."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import Final

from django.urls import reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from orders.quotes.cooling.presenters import never_shown, unrecorded_sentence
from orders.quotes.draft.presenters import DraftShown, ProblemShown, problems_shown, window_shown
from orders.quotes.models import Quote
from orders.quotes.send.check import SendCheck
from orders.records.cooling_errors import HoldingContradicts, SourceUnshown
from orders.records.errors import ClaimsUntrue, NoteUnproven, OrderError, TermsDisagree, WordsUnproven
from orders.records.presenters import sentence as refusal_sentence

#: Refusal -> its words and the page where it can be fixed, in the order of display.
_REFUSALS: Final = {
    "already_approved": (
        marked("Another revision of this quote was approved and is an order. Start another quote for anything more."),
        "inquiry",
    ),
    "empty_table": (marked("There are no products yet."), "table"),
    "validity_passed": (marked("Its “Valid until” has passed."), "quote-terms"),
    "event_passed": (marked("The event's date and time have passed."), "inquiry-edit"),
    "window_taken": (
        marked("Not everything can be made for this time beside what is promised already."),
        "inquiry-edit",
    ),
    "message_unanswered": (
        marked(
            "A message of {customer} may name what a guest cannot eat. Record it as a need, or record that there is "
            "none in it."
        ),
        "inquiry",
    ),
    "inquiry_closed": (marked("The inquiry is closed."), "inquiry"),
}

#: Place of words that the customer reads -> the page where they are changed.
_PAGES: Final = {
    "note": "quote-terms",
    "cancellation_terms": "quote-terms",
    "title": "inquiry-edit",
    "place": "inquiry-edit",
    "allergy_note": "inquiry-edit",
    "extras": "table",
    "taxes": "taxes",
    "pictures": "products",
}


_UNSAID: Final = marked(
    "Not sent. Check the box that you have seen that nothing says how it is kept, or enter it on the product."
)
_AT_ROOM: Final = marked(
    "Not sent. Check the box that you have seen that it is kept at room temperature, or enter on the product that "
    "it is held "
    "cold."
)


def unticked_shown(
    unseen: Collection[str], check: SendCheck, shown: DraftShown, to_read: Iterable[tuple[str, str]]
) -> list[tuple[str, str]]:
    """Write what was not ticked as (id of the box, sentence), in the order of the page; for the error summary.

    ``unseen`` are ``asked``, ``day``, ``needs``, ``unstated``, marks of words and codes of unchecked products;
    ``to_read`` are (mark, sentence) of all words to read.
    """
    found = []
    if "asked" in unseen:
        asked = gettext("Not sent. Ask the customer and record the answer, or check the box that they were not asked.")
        found.append(("not_asked", asked))
    if "day" in unseen:
        found.append(
            ("day_over", gettext("Not sent. Check the box that you take it all the same, or choose another day."))
        )
    if "needs" in unseen:
        seen = gettext("Not sent. Check the box that you have seen what guests cannot eat, or change the products.")
        found.append(("allergies", seen))
    found += [(f"read_{number}", words) for number, (mark, words) in enumerate(to_read, start=1) if mark in unseen]
    answer = gettext("Not sent. Answer for the ingredients of %(name)s, or check the box that it goes out unchecked.")
    for number, dish in enumerate(shown.unchecked, start=1):
        if dish.code in unseen:
            found.append((f"unchecked_{number}", answer % {"name": dish.name}))
    if "unstated" in unseen:
        found.append(("unstated", gettext(_UNSAID if check.unsaid else _AT_ROOM)))
    if "unsure" in unseen:
        unsure = gettext(
            "Not sent. Check the box that you send it before a time to make it is found, or choose another time."
        )
        found.append(("unsure", unsure))
    return found


def send_problems(check: SendCheck) -> tuple[ProblemShown, ...]:
    """Write everything that sending would refuse."""
    return (
        *problems_shown(check.draft_estimate.problems),
        *_refusals(check),
        *_window(check),
        *_never(check),
        *_unrecorded(check),
        *(
            [ProblemShown(gettext("The margin is below your floor, and no reason is recorded."))]
            if check.reason_missing
            else ()
        ),
    )


def _refusals(check: SendCheck) -> Iterator[ProblemShown]:
    links = _links(check.quote)
    refused = {refusal.code for refusal in check.refusals}
    for code, (sentence, page) in _REFUSALS.items():
        if code in refused:
            yield ProblemShown(gettext(sentence).format(customer=check.quote.inquiry.customer), links[page])
    for refusal in check.refusals:
        yield from _with_its_words(check, refusal, links)


def _with_its_words(check: SendCheck, refusal: OrderError, links: Mapping[str, str]) -> Iterator[ProblemShown]:
    """Write a refusal that names what it is about, with the page where that is changed."""
    if isinstance(refusal, TermsDisagree):
        yield ProblemShown(refusal_sentence(refusal), links["quote-terms"])
    if isinstance(refusal, WordsUnproven):
        yield ProblemShown(refusal_sentence(refusal), reverse("kitchen-profile"))
    if isinstance(refusal, NoteUnproven):
        yield ProblemShown(refusal_sentence(refusal), links[_PAGES[refusal.place]])
    if isinstance(refusal, SourceUnshown):
        yield ProblemShown(refusal_sentence(refusal), reverse("recipe-edit", args=[refusal.params["recipe_id"]]))
    if isinstance(refusal, HoldingContradicts):
        yield ProblemShown(refusal_sentence(refusal), reverse("product-edit", args=[refusal.params["product_id"]]))
    if isinstance(refusal, ClaimsUntrue):
        yield from _claims(check, refusal)


def _claims(check: SendCheck, refusal: ClaimsUntrue) -> Iterator[ProblemShown]:
    """Write each untrue claim with the page where its words are changed."""
    pages = {line.product.code: reverse("product-edit", args=[line.product_id]) for line in check.quote.lines.all()}
    found = {refusal_sentence(ClaimsUntrue(claims=[claim])): claim.code for claim in refusal.params["claims"]}
    for words, code in found.items():
        yield ProblemShown(words, pages.get(code, _links(check.quote)["table"]))


def _window(check: SendCheck) -> Iterator[ProblemShown]:
    window = window_shown(check.draft_estimate.window) if check.window_missed else None
    if window is not None:
        link = window.link or _links(check.quote)["inquiry-edit"]
        yield ProblemShown(f"{window.sentence} {window.instead}", link)


def _never(check: SendCheck) -> Iterator[ProblemShown]:
    """Write what may never get cold; of products a window that is refused says so already."""
    for one in never_shown(check.ruled):
        if one.batch or not check.window_missed:
            yield ProblemShown(one.sentence, one.link)


def _unrecorded(check: SendCheck) -> Iterator[ProblemShown]:
    for one in check.ruled.unrecorded:
        page, words = reverse("quote-cooling", args=[check.quote.pk]), gettext("Record what is measured")
        yield ProblemShown(unrecorded_sentence(check.ruled, one), page, words=words)


def _links(quote: Quote) -> dict[str, str]:
    inquiry_page = reverse("inquiry", args=[quote.inquiry_id])
    return {
        "inquiry": inquiry_page,
        "table": f"{inquiry_page}#table",
        "customer-edit": reverse("customer-edit", args=[quote.inquiry.customer_id]),
        "quote-terms": reverse("quote-terms", args=[quote.pk]),
        "taxes": reverse("kitchen-taxes"),
        "products": reverse("products"),
        "inquiry-edit": reverse("inquiry-edit", args=[quote.inquiry_id]),
    }
