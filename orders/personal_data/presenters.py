"""What is stored about a person, what erasing removes and what stays and why, in sentences; how long rows are kept."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from catalog.web.display import joined
from orders.personal_data.retention import RetentionRow
from orders.personal_data.selectors import DataSubject, still_open

#: Why issued documents keep what stands on them.
_BOOKS: Final = "tax law asks for them for years, and a hash proves the words of each"
#: Kind of row -> what it is, what is done with it, and why it is kept that long.
_RETENTION: Final = {
    "outbox": ("Mails and files that are done", "deleted", "long enough to look up whether a mail went out"),
    "backup": ("Entries about backups", "deleted", "long enough to see that they are made"),
    "prepared_file": ("Files made on request: the register, a person's data", "deleted", "each can be made again"),
    "price_list_file": (
        "Files of price lists; their names, hashes and rows stay",
        "deleted",
        "long enough to compare a price with the list it came from",
    ),
    "inquiry": (
        "Inquiries that came to nothing, from the day of the event",
        "deleted; where a quote was sent, their words and the quote's are erased, and its PDF and drafts are deleted",
        "long enough for somebody who comes back the next season",
    ),
    "customer": ("Customers without an inquiry or order", "deleted", "they have no business with the kitchen"),
    "approval_origin": (
        "Internet address and browser of approvals, from the day of the event",
        "erased",
        "evidence of who approved, while the order can still be disputed",
    ),
    "document": (
        "Quotes that became orders, orders, invoices, payments, their files and exports",
        "kept",
        "tax law asks for them for up to ten years, in some places longer; the program deletes none",
    ),
    "audit": ("The history of every document", "kept", "it proves who did what; the program deletes none"),
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
        ("Inquiries", len(subject.inquiries)),
        ("Quotes, every revision", len(subject.quotes)),
        ("Messages", subject.messages.count()),
        ("Private links", subject.links.count()),
        ("Approvals", subject.approvals.count()),
        ("Orders", len(subject.orders)),
        ("Invoices and credit notes", len(subject.invoices)),
        ("Payments", subject.payments.count()),
        ("Mails and files asked for", subject.mails.count()),
        ("Entries of the history", subject.history.count()),
        ("PDFs", subject.files.count()),
    ]
    stored = [(kind, number) for kind, number in stored if number]
    return SubjectShown(stored, erased_words(subject), retained_words(subject), open_words(still_open(subject)))


def erased_words(subject: DataSubject) -> list[str]:
    """Return what erasing removes."""
    name = "" if subject.orders else "name, "
    return [
        f"The customer's {name}e-mail address, phone, address and your note about them.",
        "Inquiries of which no quote was sent, and every draft of a quote.",
        "Of other inquiries: name, place, notes, budget and allergies.",
        "What was written in messages, also the kitchen's replies.",
        "The internet address and the browser of each approval.",
        "The title of each order, and notes about orders and payments.",
        "Mails in the list of mails, and mail addresses and notes in the history.",
        "Of quotes that were not approved: name, address, title, place, allergies and note; their PDFs are deleted.",
        "Private links are revoked, and when they were opened is erased.",
    ]


def retained_words(subject: DataSubject) -> list[str]:
    """Return what stays, and why."""
    words = ["That this was done, by whom and when."]
    if subject.invoices:
        words.append(
            "Invoices and credit notes with the name and address on them, payments, and the exports to the bookkeeper "
            f"that list them: {_BOOKS}."
        )
    if subject.orders:
        words.append(
            "Approved quotes, with name, address, place and allergies as they stand on them, and who approved: "
            "they are what was agreed, and each has a hash that proves its words. "
            "The customer's name stays to find them by."
        )
    if len(subject.retained_quotes) > len(subject.orders):
        words.append(
            "The other revisions of approved quotes, as they were sent: they show how what was agreed came about."
        )
    if any(quote.pk not in subject.retained_quotes for quote in subject.sent_quotes):
        words.append(
            "Of quotes that were not approved: number, days, desserts, rentals and prices, without a person. "
            "No order came of them, so the books need nothing more."
        )
    return words


def open_words(numbers: Sequence[str]) -> str:
    """Return why nothing can be erased yet; empty when it can."""
    if not numbers:
        return ""
    named = ["a mail on its way" if number == "mail" else number for number in numbers]
    return f"Not finished: {joined(named)}. Personal data can be erased when nothing is open and no money is owed."


def retention_words_of(rows: Sequence[RetentionRow]) -> list[str]:
    """Return a sentence for each kind of row: how long it is kept, why, and how many are older."""
    return [_retention_sentence(row) for row in rows]


def _retention_sentence(row: RetentionRow) -> str:
    what, done, why = _RETENTION[row.kind]
    if not row.removed:
        return f"{row.kind}: {what}: kept at least {row.days} days ({why})."
    goes = "every day by itself" if row.of_itself else "when asked"
    return f"{row.kind}: {what}: {done} after {row.days} days, {goes} ({why}). Older now: {row.due}."
