"""The next thing to do about an order, in words."""

from dataclasses import dataclass
from datetime import datetime
from typing import Final
from urllib.parse import quote

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.web import display
from orders.cooling_log.open_names_content import measured_name
from orders.cooling_log.presenters import gone_words
from orders.cooling_log.selectors import CoolingMark
from orders.documents.content import QuoteContent
from orders.orders.latest_starts import Start
from orders.orders.models import Order
from orders.orders.next_step import Do, NextStep
from orders.records.states import OrderStatus

#: What to do -> its heading, where it has no moment and no amount.
_TITLES: Final = {
    Do.INFORM: marked("Tell the customer what changed"),
    Do.START: marked("Start production"),
    Do.INVOICE: marked("Create the invoice"),
    Do.ISSUE: marked("Check and issue the invoice"),
    Do.CREDIT: marked("Credit the invoice"),
    Do.CREDITED: marked("Invoice the order again"),
    Do.SETTLE: marked("Invoice or credit the change"),
    Do.CLOSE: marked("Close the order"),
    Do.WAIT: marked("Nothing for you to do now"),
    Do.NOTHING: marked("Nothing left to do"),
}


@dataclass(frozen=True, slots=True)
class NextShown:
    """The next thing to do: its heading, why, and the text of a reminder to a customer who has not paid."""

    do: str
    title: str
    sentence: str = ""
    late: bool = False
    reminder: str = ""


def next_shown(step: NextStep, order: Order, content: QuoteContent, *, at: datetime) -> NextShown:
    """Write what to do next about an order, at a moment."""
    title = _money_title(step, order) or _work_title(step) or gettext(_TITLES[step.do])
    return NextShown(step.do, title, _sentence(step, order, content, at), step.late, _reminder(step, order))


def _remake_title(mark: CoolingMark) -> str:
    words = {"name": mark.name, "which": gone_words(mark)}
    if not mark.all_gone:
        return gettext("Make a part of %(name)s again: %(which)s was thrown away") % words
    if mark.item.kind == "product":
        return gettext("Make %(name)s again: it was thrown away") % words
    return gettext("Make %(name)s again: its batch was thrown away") % words


def _work_title(step: NextStep) -> str:
    if step.do == Do.REMAKE and step.mark is not None:
        return _remake_title(step.mark)
    if step.do == Do.MEASURE and step.mark is not None and step.mark.state == "missed":
        return gettext("Record what was done with %(name)s: it missed a cooling limit") % {"name": step.mark.name}
    if step.do == Do.MEASURE and step.mark is not None and step.mark.too_old:
        words = {"name": step.mark.name, "keeps": display.duration(step.mark.aged_min)}
        return gettext("%(name)s is older than the %(keeps)s it keeps") % words
    if step.do == Do.MEASURE and step.mark is not None:
        return gettext("Measure the cooling of %(name)s") % {"name": measured_name(step.mark)}
    if step.do == Do.HAND_OVER:
        return gettext("Hand the order over")
    if step.do == Do.START and step.by is not None:
        late = gettext("Production should have started %(moment)s")
        return (late if step.late else gettext("Start production by %(moment)s")) % {"moment": display.moment(step.by)}
    return ""


def _money_title(step: NextStep, order: Order) -> str:
    amount = {"amount": display.minor(step.amount, order.currency), "day": display.day(step.due_on)}
    if step.do in (Do.INVOICE, Do.ISSUE) and order.retained_minor is not None:
        charge = {"amount": display.minor(order.retained_minor, order.currency)}
        words = gettext("Check and issue the cancellation charge: %(amount)s")
        return (words if step.do == Do.ISSUE else gettext("Invoice the cancellation charge: %(amount)s")) % charge
    if step.do == Do.REFUND:
        return gettext("Refund %(amount)s to the customer") % amount
    if step.do == Do.CREDITED and step.amount:
        return gettext("Refund %(amount)s to the customer, or invoice the order again") % amount
    if step.do not in _ASKED:
        return ""
    late, due, whenever = _ASKED[step.do]
    return gettext(late if step.late else due if step.due_on else whenever) % amount


#: Money to ask for -> its heading once it is overdue, with its last day, and without one.
_ASKED: Final = {
    Do.DEPOSIT: (
        marked("Deposit overdue: %(amount)s"),
        marked("Deposit due %(day)s: %(amount)s"),
        marked("Deposit due: %(amount)s"),
    ),
    Do.PAYMENT: (
        marked("Payment overdue: %(amount)s"),
        marked("Payment due %(day)s: %(amount)s"),
        marked("Payment due: %(amount)s"),
    ),
}


def _sentence(step: NextStep, order: Order, content: QuoteContent, at: datetime) -> str:
    if step.late and step.due_on is not None:
        return gettext("It was due %(day)s.") % {"day": display.day(step.due_on)}
    if step.do == Do.HAND_OVER:
        return _hand_over(order, content)
    if step.do == Do.START and step.by is not None:
        return _start_sentence(step.begins)
    if step.do == Do.WAIT and step.by is not None:
        passed = gettext("Production should have started %(moment)s; nobody has recorded its start.")
        ahead = gettext("Production starts by %(moment)s.")
        return (passed if step.by < at else ahead) % {"moment": display.moment(step.by)}
    return _plain_sentence(step, order)


def _start_sentence(begins: Start | None) -> str:
    if begins is not None and begins.planned:
        return gettext("As the kitchen’s plan has it, beside the other orders.")
    alone = gettext("Other orders may need an earlier start.")
    if begins is not None and begins.unplanned:
        return gettext("Not planned yet: counted back from the hand-over. %(alone)s") % {"alone": alone}
    return alone


def _hand_over(order: Order, content: QuoteContent) -> str:
    window = {"window": display.window(order.window_start, order.window_end), "place": content.event.place}
    if content.event.hand_over == "pickup":
        return gettext("Pickup at the kitchen: %(window)s.") % window
    if content.event.place:
        return gettext("Delivery to %(place)s: %(window)s.") % window
    return gettext("Delivery: %(window)s.") % window


#: What is said of a step whatever the order.
_SENTENCES: Final = {
    Do.CREDIT: marked(
        "The order is canceled: by its terms only the cancellation charge is due, so the invoice issued before is "
        "credited."
    ),
    Do.SETTLE: marked("The customer approved a change after the invoice was issued."),
    Do.CLOSE: marked("It is delivered or picked up, invoiced and paid."),
}


def _cooling_sentence(step: NextStep) -> str:
    if step.do == Do.REMAKE:
        return gettext("Then measure how it cools, and record it. What was thrown away does not go out.")
    if step.mark is not None and step.mark.too_old:
        return gettext("It was cold in time. The owner decides whether it goes out; otherwise make it again.")
    return ""


def _plain_sentence(step: NextStep, order: Order) -> str:
    if step.do in (Do.REMAKE, Do.MEASURE):
        return _cooling_sentence(step)
    delivered = order.status == OrderStatus.DELIVERED
    if step.do == Do.INVOICE and delivered:
        return gettext("The order is delivered or picked up and not invoiced yet.")
    if step.do == Do.CREDITED and delivered and not step.amount:
        return gettext("Its invoice is credited in full. If nothing is to be charged, close the order.")
    if step.do == Do.CREDITED and delivered:
        return gettext("Its invoice is credited in full.")
    if step.do == Do.CREDITED:
        return gettext("Its invoice is credited in full, but the order still stands. If it is off, cancel it below.")
    if step.do in _SENTENCES:
        return gettext(_SENTENCES[step.do])
    if step.do == Do.WAIT and (delivered or order.status == OrderStatus.CANCELED):
        return gettext("The owner creates and issues the invoice.")
    return ""


def _reminder(step: NextStep, order: Order) -> str:
    """Return the address of a mail to the customer, for the reader's own mail program; empty without one."""
    if step.do not in (Do.DEPOSIT, Do.PAYMENT) or not order.customer.email:
        return ""
    facts = {
        "customer": order.customer.name,
        "amount": display.minor(step.amount, order.currency),
        "event": order.title,
        "order": order.number,
        "day": display.day(step.due_on),
    }
    if step.do == Do.DEPOSIT:
        subject, text = gettext("Deposit for %(event)s (order %(order)s)"), _ABOUT_DEPOSIT
    else:
        subject, text = gettext("Payment for %(event)s (order %(order)s)"), _ABOUT_PAYMENT
    text = gettext(text) if step.due_on else gettext(_WITHOUT_A_DAY)
    # RFC 6068 (from memory): the @ of an address stands as it is, and a line of the text ends with CR LF.
    body = quote((text % facts).replace("\n", "\r\n"))
    return f"mailto:{quote(order.customer.email, safe='@')}?subject={quote(subject % facts)}&body={body}"


_ABOUT_DEPOSIT: Final = marked(
    "Hello %(customer)s,\n\nthis is a reminder of the deposit of %(amount)s for %(event)s (order %(order)s), "
    "due %(day)s.\n\nThank you"
)
_ABOUT_PAYMENT: Final = marked(
    "Hello %(customer)s,\n\nthis is a reminder of the %(amount)s still to pay for %(event)s (order %(order)s), "
    "due %(day)s.\n\nThank you"
)
_WITHOUT_A_DAY: Final = marked(
    "Hello %(customer)s,\n\nthis is a reminder of the %(amount)s still to pay for %(event)s (order %(order)s)."
    "\n\nThank you"
)
