"""What an inquiry's allergy note names and no need stands for: a note alone warns nobody of a dessert."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from orders.inquiries.models import Inquiry
from orders.quotes.draft.message_needs import missing_needs
from orders.records.errors import NoteUnsettled


@dataclass(frozen=True, slots=True)
class NoteOpen:
    """An allergy note that no needs stand for, or not all: the needs it names, each with its number of guests."""

    note: str
    missing: Mapping[str, int | None] = field(default_factory=dict)


def note_open(inquiry: Inquiry, which: str) -> NoteOpen | None:
    """Return what is open of an inquiry's allergy note; None where there is none, or needs stand for all it names.

    Words that nobody recognizes count as named while no need is there at all.
    """
    note = inquiry.allergy_note.strip()
    missing = missing_needs(note, which, inquiry.allergies)
    return NoteOpen(note, missing) if note and (missing or not inquiry.allergies) else None


def check_note_settled(inquiry: Inquiry, which: str, *, no_need: bool) -> None:
    """Refuse a note that no needs stand for, unless somebody says that there is none in it.

    Raises NoteUnsettled.
    """
    if not no_need and note_open(inquiry, which) is not None:
        raise NoteUnsettled(note=inquiry.allergy_note.strip())
