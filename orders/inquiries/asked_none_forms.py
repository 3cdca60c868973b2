"""Whether notes about allergies go against the tick that the customer was asked and named none.

No reading of words is sure, and none is read in every language: whatever stands there is settled by a person.
"""

from typing import Any, Protocol

from django.utils.translation import gettext

from catalog.pantry.other_words import needs_named
from catalog.pantry.presenters import need_words
from catalog.records.versions import version_mark


class AsksNote(Protocol):
    """A form whose notes somebody may have to settle: the note that is ``settled``, the mark of the one that is asked.

    ``note_asked`` is empty where nothing is asked.
    """

    data: Any
    initial: Any
    settled: str
    note_asked: str

    def add_error(self, field: str | None, error: Any) -> None: ...


def settle_asked(form: AsksNote, values: dict[str, Any]) -> None:
    """Refuse "none named" beside a need or a note; a need that is named later ends what was noted before."""
    if not values.get("asked_none"):
        return
    if not values["allergies"]:
        _settle_note(form, values, (values.get("allergy_note") or "").strip())
    elif form.initial.get("asked_none"):
        values["asked_none"] = False
    else:
        form.add_error("asked_none", both_named(values["allergies"]))


def _settle_note(form: AsksNote, values: dict[str, Any], note: str) -> None:
    """Take that somebody says of just this note that it names no need, or ask them."""
    if not note or note == form.settled.strip():
        return
    form.note_asked = version_mark([note])
    values["note_settled"] = form.data.get("note_settled") == form.note_asked
    if against := against_none_named(note, values.get("guests"), settled=values["note_settled"]):
        form.add_error("asked_none", against)


def against_none_named(note: str, guests: int | None, *, settled: bool) -> str:
    """Write why a note goes against the tick: it names needs, or nobody says that it names none; else nothing.

    ``guests`` are those of the event.
    """
    if named := needs_named(note, guests):
        sentence = gettext(
            "You checked that the customer named no allergies or diets, and the allergy notes name %(needs)s."
            " Clear the box, or change the notes."
        )
        return sentence % {"needs": need_words(named)}
    if settled:
        return ""
    return gettext(
        "You checked that the customer named no allergies or diets, and there are allergy notes. Clear the box or the"
        " notes, or check that the notes say nothing about what a guest cannot or does not eat."
    )


def both_named(needs: Any) -> str:
    """Write that the tick stands beside needs."""
    both = gettext(
        "You checked that the customer named no allergies or diets, and %(needs)s under them. Clear one of the two."
    )
    return both % {"needs": need_words(needs)}
