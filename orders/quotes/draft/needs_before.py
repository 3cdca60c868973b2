"""What a customer's guests needed last time and this inquiry does not have: an e-mail address alone joins the two."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from catalog.pantry.allergens import covered
from orders.inquiries.models import Inquiry
from orders.quotes.draft.message_needs import missing_needs


@dataclass(frozen=True, slots=True)
class NeedsBefore:
    """The inquiry that last named needs, and those of them that are missing now, each with its number of guests.

    ``missing`` is empty where its note alone says something, in words that nobody recognizes.
    """

    inquiry: Inquiry
    missing: Mapping[str, int | None] = field(default_factory=dict)


def needs_before_of(inquiry: Inquiry) -> NeedsBefore | None:
    """Return what the customer's guests needed last time, where some of it is missing now; two queries."""
    rows = Inquiry.objects.filter(customer=inquiry.customer_id, received_at__lte=inquiry.received_at)
    rows = rows.exclude(pk=inquiry.pk).exclude(allergies=[], allergy_note="")
    before = rows.order_by("-received_at", "-pk").first()
    if before is None:
        return None
    here = [covered(code) for code in inquiry.allergies]
    missing: dict[str, int | None] = {
        code: before.need_counts.get(code)
        for code in before.allergies
        if not any(covered(code) <= one for one in here) and code not in inquiry.allergies
    }
    note = before.allergy_note.strip()
    if note and note not in inquiry.allergy_note:
        missing |= missing_needs(note, [*inquiry.allergies, *missing], before.guests)
    unread = note and not before.allergies and not inquiry.allergies and not inquiry.allergy_note.strip()
    return NeedsBefore(before, missing) if missing or unread else None
