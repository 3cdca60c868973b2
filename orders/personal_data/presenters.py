"""What is stored about a person, what erasing removes and what stays and why, in sentences; how long rows are kept."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.web.display import joined
from orders.personal_data.retention import RetentionRow
from orders.personal_data.selectors import DataSubject, still_open

#: Kind of row -> what it is, what is done with it, and why it is kept that long.
_RETENTION: Final = {
    "outbox": (
        marked("E-mails and files written"),
        marked("deleted"),
        marked("long enough to look up whether a mail was sent"),
    ),
    "backup": (marked("Records of backups"), marked("deleted"), marked("long enough to see that backups are made")),
    "prepared_file": (
        marked("Files made on request: the register, a person's data"),
        marked("deleted"),
        marked("each can be made again"),
    ),
    "price_list_file": (
        marked("Files of price lists (their names, hashes and rows are retained)"),
        marked("deleted"),
        marked("long enough to compare a price with the list it came from"),
    ),
    "spreadsheet_file": (
        marked("Files of spreadsheets, and their rows where they are about customers"),
        marked("deleted"),
        marked("long enough to correct rows and undo an import"),
    ),
    "picture": (
        marked("Pictures that no product, logo or sent quote shows, counted from the upload"),
        marked("deleted"),
        marked("long enough to put one back"),
    ),
    "inquiry": (
        marked("Inquiries without an order, counted from the event date"),
        marked(
            "deleted; where a quote was sent, personal data in the inquiry and the quote is erased, and the PDF and "
            "drafts are deleted"
        ),
        marked("long enough for a customer who comes back the next season"),
    ),
    "customer": (
        marked("Customers without an inquiry or order"),
        marked("deleted"),
        marked("there is no business with them"),
    ),
    "approval_origin": (
        marked("IP address and browser of approvals, counted from the event date"),
        marked("erased"),
        marked("evidence of who approved, while the order can still be disputed"),
    ),
    "document": (
        marked("Quotes that became orders, orders, invoices, payments, their files and exports"),
        marked("retained"),
        marked("tax law requires them for up to ten years, in some places longer; the program deletes none"),
    ),
    "audit": (
        marked("The history of every document"),
        marked("retained"),
        marked("it proves who did what; the program deletes none"),
    ),
}


@dataclass(frozen=True, slots=True)
class SubjectShown:
    """The page: counts of what is stored, what goes, what stays, what is still open."""

    stored: Sequence[tuple[str, int]]
    erased: Sequence[str]
    retained: Sequence[str]
    still_open: str


def subject_shown(subject: DataSubject) -> SubjectShown:
    """Return the facts and sentences of a customer's page about personal data."""
    stored = [
        (gettext("Inquiries"), len(subject.inquiries)),
        (gettext("Quotes, all revisions"), len(subject.quotes)),
        (gettext("Messages"), subject.messages.count()),
        (gettext("Private links"), subject.links.count()),
        (gettext("Approvals"), subject.approvals.count()),
        (gettext("Orders"), len(subject.orders)),
        (gettext("Invoices and credit notes"), len(subject.invoices)),
        (gettext("Payments"), subject.payments.count()),
        (gettext("Payment requests and receipts"), len(subject.papers)),
        (gettext("E-mails and files requested"), subject.mails.count()),
        (gettext("History entries"), subject.history.count()),
        ("PDFs", subject.files.count()),
    ]
    stored = [(kind, number) for kind, number in stored if number]
    return SubjectShown(stored, erased_words(subject), retained_words(subject), open_words(still_open(subject)))


def erased_words(subject: DataSubject) -> list[str]:
    """Return what erasing removes."""
    return [
        gettext("The customer's e-mail address, phone, address and your note about them.")
        if subject.orders
        else gettext("The customer's name, e-mail address, phone, address and your note about them."),
        gettext("Inquiries without a sent quote, and every draft of a quote."),
        gettext("In other inquiries: event name, place, notes, budget and allergies."),
        gettext("The text of messages, including the kitchen's replies."),
        gettext("The IP address and browser of each approval."),
        gettext("The event name of each order, and notes about orders and payments."),
        gettext("Entries in the list of mails, and e-mail addresses and notes in the history."),
        gettext(
            "In quotes that were not approved: name, address, event name, place, allergies and note; their PDFs are "
            "deleted."
        ),
        gettext("Private links are revoked, and the times they were opened are erased."),
    ]


def retained_words(subject: DataSubject) -> list[str]:
    """Return what stays, and why."""
    words = [gettext("The record that the data was erased, by whom and when.")]
    if subject.invoices:
        words.append(
            gettext(
                "Invoices, credit notes and receipts with the name and address on them, payments, and the exports to "
                "the bookkeeper that list them: tax law requires them for years, and a hash proves the content of each."
            )
        )
    if subject.orders:
        words.append(
            gettext(
                "Approved quotes with the name, address, place and allergies on them, and who approved: they are the "
                "agreement, and a hash proves the content of each. The customer's name is retained to find them."
            )
        )
    if len(subject.retained_quotes) > len(subject.orders):
        words.append(
            gettext("The other revisions of approved quotes, as sent: they show how the agreement was reached.")
        )
    if any(quote.pk not in subject.retained_quotes for quote in subject.sent_quotes):
        words.append(
            gettext(
                "From quotes that were not approved: number, dates, desserts, rentals and prices, without personal "
                "data. They led to no order, so the books need nothing more."
            )
        )
    return words


def open_words(numbers: Sequence[str]) -> str:
    """Return why nothing can be erased yet; empty when it can."""
    if not numbers:
        return ""
    named = joined([gettext("an e-mail on its way") if number == "mail" else number for number in numbers])
    why = gettext("Not finished: %(what)s. Personal data can be erased when nothing is open and no money is owed.")
    return why % {"what": named}


def retention_words_of(rows: Sequence[RetentionRow]) -> list[str]:
    """Return a sentence for each kind of row: how long it is kept, why, and how many are older."""
    return [_retention_sentence(row) for row in rows]


def _retention_sentence(row: RetentionRow) -> str:
    what, done, why = map(gettext, _RETENTION[row.kind])
    facts = {"kind": row.kind, "what": what, "done": done, "why": why, "days": row.days, "due": row.due}
    if not row.removed:
        return gettext("%(kind)s: %(what)s: retained at least %(days)s days (%(why)s).") % facts
    sentence = gettext("%(kind)s: %(what)s: %(done)s after %(days)s days, on request (%(why)s). Older now: %(due)s.")
    if row.of_itself:
        sentence = gettext("%(kind)s: %(what)s: %(done)s after %(days)s days, daily (%(why)s). Older now: %(due)s.")
    return sentence % facts
