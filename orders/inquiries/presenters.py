"""The lists of inquiries in words."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext, gettext_lazy, ngettext
from django.utils.translation import gettext_noop as marked

from catalog.pantry.allergens import asked_of, is_allergen
from orders.inquiries.selectors import SHOWS
from orders.quotes.draft.message_needs import MessageOpen, NeedChange

#: Which inquiries -> what the list is called, and the sentence above it.
_LISTS: Final = {
    "open": (marked("Open"), marked("Inquiries without an approved quote, by event date.")),
    "waiting": (marked("Quote sent"), marked("The customer has a quote and has not answered yet.")),
    "ordered": (marked("Ordered"), marked("The customer approved a quote.")),
    "past": (
        marked("Date passed"),
        marked("Still open, and the event date has passed. Close those without an order."),
    ),
    "closed": (marked("Closed"), marked("Closed inquiries and the reason, newest first.")),
}


@dataclass(frozen=True, slots=True)
class ListShown:
    """One of the lists: its name, the sentence above it, and whether it is the one that is open."""

    show: str
    name: str
    sentence: str
    current: bool


#: Order of a list of inquiries -> its name.
INQUIRY_SORTS: Final = {
    "usual": gettext_lazy("usual order"),
    "soonest": gettext_lazy("earliest event"),
    "latest": gettext_lazy("latest event"),
    "added": gettext_lazy("latest added"),
    "customer": gettext_lazy("customer"),
    "event": gettext_lazy("event name"),
    "guests": gettext_lazy("most guests"),
}
#: Order of the list of customers -> its name.
CUSTOMER_SORTS: Final = {
    "name": gettext_lazy("name"),
    "kind": gettext_lazy("type"),
    "email": gettext_lazy("e-mail"),
    "added": gettext_lazy("latest added"),
}


def list_name(show: str) -> str:
    """Name one list of inquiries; empty for what is no list."""
    return gettext(_LISTS[show][0]) if show in _LISTS else ""


def lists_shown(current: str) -> list[ListShown]:
    """Name the lists of inquiries, with the one that is open."""
    return [
        ListShown(show, gettext(name), gettext(sentence), show == current)
        for show, (name, sentence) in ((show, _LISTS[show]) for show in SHOWS)
    ]


def number_words(
    wrote: Iterable[MessageOpen],
    counts: Mapping[str, int],
    named: Mapping[str, int | None],
    noted: Iterable[NeedChange] = (),
    *,
    which: str,
    unclear: Collection[str] = (),
) -> dict[str, str]:
    """Write by need what customers' messages say of the number of guests, beside the one that is recorded.

    ``named`` are needs that are offered, of which a number may be missing; ``noted`` is what notes say of them. An
    allergen that is not on the kitchen's list ``which`` is said to be none of it. Of ``unclear`` ones the words have
    numbers, and nobody can tell which is theirs.
    """
    found = {code: _asked(count, counts.get(code)) for code, count in named.items() if count is None or code in counts}
    found |= dict.fromkeys((code for code, count in named.items() if count is None and code in unclear), _unclear())
    found |= {one.code: _noted(one) for one in noted if one.code in named}
    for one in wrote:
        for code in one.counted:
            found[code] = _one_more(counts.get(code))
        for change in one.changes:
            if words := _change(change):
                found[change.code] = words
    beyond = gettext("Not on your list of allergens, so nobody read labels for it. A guest may mean it all the same.")
    off = [code for code in named if is_allergen(code) and code not in asked_of(which)]
    return found | {code: " ".join(filter(None, (beyond, found.get(code, "")))) for code in off}


def _asked(number: int | None, was: int | None) -> str:
    if number is None or was is None:
        return gettext("How many guests?")
    words = gettext("You entered %(was)s; %(number)s are named. Enter how many they are in all.")
    return words % {"was": was, "number": number}


def _unclear() -> str:
    return gettext("The words do not say plainly which number belongs to this need. How many guests?")


def _one_more(n: int | None) -> str:
    if n is None:
        return gettext("One more? Enter how many they are in all.")
    words = ngettext(
        "One more? %(n)s so far. Enter how many they are in all.",
        "One more? %(n)s so far. Enter how many they are in all.",
        n,
    )
    return words % {"n": n}


def _noted(one: NeedChange) -> str:
    """Write what a note says of a number that somebody entered."""
    facts = {"was": one.was, "number": one.number, "all": one.guests}
    if not one.guests:
        return gettext("You entered %(was)s; the note may mean %(number)s. How many guests?") % facts
    if one.more:
        return (
            gettext("You entered %(was)s; the note says %(number)s more: %(all)s. Enter how many they are in all.")
            % facts
        )
    return gettext("You entered %(was)s; the note says %(number)s. Enter how many they are in all.") % facts


def _change(one: NeedChange) -> str:
    """Write what a message changes of a number; nothing where it says what is recorded, or of nobody recorded."""
    facts = {"was": one.was, "number": one.number, "all": one.guests}
    if one.was is None and one.more:
        return gettext("You had no number; the message says %(number)s more. Enter how many they are in all.") % facts
    if one.was is None:
        return gettext("There was no number; the message says %(number)s.") % facts if one.number > 1 else ""
    if one.was and one.more:
        return (
            gettext("You had %(was)s; the message says %(number)s more: %(all)s. Enter how many they are in all.")
            % facts
        )
    if one.was and one.number != one.was and one.number > 1:
        return gettext("Was %(was)s; the message says %(number)s. Enter how many they are in all.") % facts
    return ""
