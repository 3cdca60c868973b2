"""What each kind of reminder is called, and its usual subject and text, in the language in use."""

from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked


@dataclass(frozen=True, slots=True)
class KindWords:
    """A kind of reminder in words: its name, when it goes out, and its usual subject and text."""

    name: str
    when: str
    subject: str
    text: str


_WORDS: Final = {
    "validity": KindWords(
        marked("quote about to expire"),
        marked("days before the quote’s last day"),
        marked("{event}: your quote {number} is valid until {day}"),
        marked(
            "Dear {customer},\n\nYour quote {number} for {event} on {event_day} is valid until {day}. You can read and"
            " approve it on your page. If you would like to change something, tell us there or reply to this e-mail."
        ),
    ),
    "deposit_due": KindWords(
        marked("deposit due"),
        marked("days before the deposit is due"),
        marked("{event}: the deposit is due by {day}"),
        marked(
            "Dear {customer},\n\nThis is a reminder that the deposit of {amount} for {event} on {event_day} (order"
            " {number}) is due by {day}. If you have just paid it, there is nothing left to do."
        ),
    ),
    "deposit_late": KindWords(
        marked("deposit overdue"),
        marked("days after the deposit was due"),
        marked("{event}: the deposit was due {day}"),
        marked(
            "Dear {customer},\n\nThe deposit of {amount} for {event} on {event_day} (order {number}) was due {day}, and"
            " we have not received it yet. Please pay it, or call us if something is not right. If you have just paid"
            " it, thank you: there is nothing left to do."
        ),
    ),
    "scheduled_due": KindWords(
        marked("payment before the event due"),
        marked("days before the payment is due"),
        marked("{event}: a payment is due by {day}"),
        marked(
            "Dear {customer},\n\nThis is a reminder that the payment of {amount} for {event} on {event_day} (order"
            " {number}) is due by {day}. If you have just paid it, there is nothing left to do."
        ),
    ),
    "scheduled_late": KindWords(
        marked("payment before the event overdue"),
        marked("days after the payment was due"),
        marked("{event}: a payment was due {day}"),
        marked(
            "Dear {customer},\n\nThe payment of {amount} for {event} on {event_day} (order {number}) was due {day}, and"
            " we have not received it yet. Please pay it, or call us if something is not right. If you have just paid"
            " it, thank you: there is nothing left to do."
        ),
    ),
    "final_count": KindWords(
        marked("final count"),
        marked("days before the final count is due"),
        marked("{event}: please tell us the final number of guests by {day}"),
        marked(
            "Dear {customer},\n\nPlease tell us the final number of guests for {event} on {event_day} (order {number})"
            " by {day}: reply to this e-mail or write to us on your page. If you have told us already, there is"
            " nothing left to do."
        ),
    ),
    "payment_due": KindWords(
        marked("invoice due"),
        marked("days before the invoice is due"),
        marked("{event}: invoice {number} is due by {day}"),
        marked(
            "Dear {customer},\n\nThis is a reminder that {amount} of invoice {number} for {event} is due by {day}. If"
            " you have just paid it, there is nothing left to do."
        ),
    ),
    "payment_late": KindWords(
        marked("invoice overdue"),
        marked("days after the invoice was due"),
        marked("{event}: invoice {number} was due {day}"),
        marked(
            "Dear {customer},\n\n{amount} of invoice {number} for {event} was due {day}, and we have not received it"
            " yet. Please pay it, or call us if something is not right. If you have just paid it, thank you: there is"
            " nothing left to do."
        ),
    ),
    "things_out": KindWords(
        marked("things to return"),
        marked("days after the event, or after the day the molds should be back"),
        marked("{event}: please return what is ours"),
        marked(
            "Dear {customer},\n\nThank you for ordering with us. After {event} you still have something of ours:"
            " {things}. Please bring it back, or tell us when we can pick it up. If it is back already, there is"
            " nothing left to do."
        ),
    ),
}
#: Field -> what stands in its place.
_FIELDS: Final = {
    "customer": marked("the customer’s name"),
    "event": marked("the event’s name"),
    "event_day": marked("the day of the event"),
    "number": marked("the number of the quote, order or invoice"),
    "day": marked("the last day"),
    "kitchen": marked("your kitchen’s name"),
    "amount": marked("the amount still to pay"),
    "things": marked("what is to be returned"),
}


def kind_words(kind: str) -> str:
    """Return what a kind of reminder is called."""
    return gettext(_WORDS[kind].name)


def when_words(kind: str) -> str:
    """Return what the days of a kind are counted from, as it follows their number."""
    return gettext(_WORDS[kind].when)


def usual_subject(kind: str) -> str:
    """Return the usual subject of a kind."""
    return gettext(_WORDS[kind].subject)


def usual_text(kind: str) -> str:
    """Return the usual text of a kind."""
    return gettext(_WORDS[kind].text)


def field_words(field: str) -> str:
    """Return what stands in a field's place."""
    return gettext(_FIELDS[field])
