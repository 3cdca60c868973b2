"""What is asked about a customer's message, in words: the ticks beside the answers, and the list as it is now."""

from dataclasses import dataclass

from django.utils.translation import gettext

from catalog.pantry.presenters import counted_need_words
from orders.approvals.models import Message
from orders.documents.need_words import list_words
from orders.inquiries.models import Inquiry
from orders.quotes.draft.message_answers import has_list, is_recognized, list_mark, of_plain, replied_of
from orders.quotes.draft.message_needs import MessageOpen


@dataclass(frozen=True, slots=True)
class AnswerAsked:
    """A message with its quote, and the ticks: empty where none is asked.

    ``mark`` is that of the list; ``recognized`` tells whether words in the message may be of a need. ``replied`` says
    what is still to be stated where somebody replied to it.
    """

    message: int
    quote: int
    no_guest: str
    compared: str
    mark: str
    recognized: bool
    replied: str = ""


def answer_asked(wrote: MessageOpen | Message, inquiry: Inquiry) -> AnswerAsked:
    """Write what is asked about a message, whether or not it stops the approval."""
    one = of_plain(wrote, inquiry) if isinstance(wrote, Message) else wrote
    compared = _compared(inquiry) if has_list(inquiry) else ""
    recognized = one is wrote or is_recognized(one.text, inquiry)
    no_guest, replied = _no_guest(one, recognized=recognized), _replied(one, has_list(inquiry))
    return AnswerAsked(one.message, one.quote, no_guest, compared, list_mark(inquiry), recognized, replied)


def _replied(one: MessageOpen, listed: bool) -> str:
    """Say what a reply left open, and which button ends it."""
    if one.message not in replied_of(Message.objects.filter(pk=one.message)):
        return ""
    if listed:
        return gettext(
            "You replied. Still to record: whether this message changes the list of allergies and diets. Choose “Add to"
            " allergies and diets”, “Nothing about allergies or diets”, or “Already in the list” after comparing it."
        )
    return gettext(
        "You replied. Still to record: whether this message names an allergy or a diet. Choose “Add to allergies and"
        " diets” or “Nothing about allergies or diets”."
    )


def _compared(inquiry: Inquiry) -> str:
    words = gettext("I compared it with the list (%(list)s): every guest and every food it speaks of is counted there.")
    return words % {"list": list_words(inquiry.allergies, inquiry.need_counts, inquiry.allergy_note)}


def _no_guest(one: MessageOpen, *, recognized: bool) -> str:
    if one.missing:
        words = gettext("It is not about a guest of this event: %(needs)s")
    elif one.lacking:
        words = gettext(
            "Nobody is to be added (%(needs)s): the list counts them already, or it is not about a guest of this event"
        )
    elif one.reacts:
        return gettext("The reaction is not that of a guest of this event")
    elif recognized:
        return gettext("Nobody is to be added: the list counts them already, or it is not about a guest of this event")
    else:
        return ""
    return words % {"needs": counted_need_words(one.lacking, {})}
