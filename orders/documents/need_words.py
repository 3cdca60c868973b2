"""Which desserts serve a guest's need, in one sentence, or in lists where a sentence would be long."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Protocol

from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_noop as marked

from catalog.pantry.allergens import need_name
from catalog.pantry.declarations import Serves
from catalog.pantry.diets import DIETS
from catalog.pantry.other_needs import is_other
from catalog.pantry.presenters import allergen_words, counted_need_words
from catalog.web.display import either, joined
from orders.documents.content import DishAnswer, NeedServed

_WHY: Final = {
    Serves.CONTAINS: marked("contains {codes}"),
    Serves.MAY_CONTAIN: marked("may contain {codes}"),
    Serves.NOT_CHECKED: marked("not checked yet"),
    Serves.FREE: "",
}


#: Answers that say what is, or may be, in something.
_INSIDE: Final = (Serves.CONTAINS, Serves.MAY_CONTAIN)
#: From so many desserts on they stand in lists: on a phone a sentence of them fills the page.
LISTED_FROM: Final = 4


@dataclass(frozen=True, slots=True)
class DishList:
    """Desserts with the same answer to a need, under their heading; without desserts the heading says it all."""

    heading: str
    dishes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class NeedShown:
    """A need with its number of guests, a sentence of the desserts that serve it, and whether all of them do.

    ``lists`` say the same as the sentence where it would name many desserts; else there are none.
    """

    title: str
    sentence: str
    instead: str
    met: bool
    served: bool
    lists: tuple[DishList, ...] = ()


def need_shown(need: NeedServed, changed: Collection[str] = (), since: str = "") -> NeedShown:
    """Write a need; ``changed`` names the dishes whose answer is another one than on the day ``since``."""
    free = [dish.name for dish in need.dishes if dish.serves == Serves.FREE]
    rest = [dish for dish in need.dishes if dish.serves != Serves.FREE]
    others = [dish_reason(dish, since if dish.name in changed else "") for dish in rest]
    return NeedShown(
        title=need_title(need),
        sentence=other_sentence(need) if is_other(need.need) else _sentence(need.need, free, others),
        instead=joined(names_by_size(need.instead)),
        met=not others,
        served=bool(free),
        lists=_lists(need, free, others) if len(need.dishes) >= LISTED_FROM else (),
    )


def other_sentence(need: NeedServed) -> str:
    """Write what holds a need that no list has, and that nobody checked the rest for it: nothing is free of it."""
    inside = [dish_reason(dish) for dish in need.dishes if dish.serves in _INSIDE]
    if not inside:
        return gettext("We have not checked our desserts for %(what)s; ask us.") % {"what": _plain(need.need)}
    reasons = gettext("Not for them: %(reasons)s.") % {"reasons": "; ".join(inside)}
    if len(inside) == len(need.dishes):
        return reasons
    others = gettext("We have not checked the others for %(what)s; ask us.") % {"what": _plain(need.need)}
    return f"{reasons} {others}"


def names_by_size(names: Sequence[str]) -> list[str]:
    """Write each dessert once; those that differ behind the first comma alone, in size, together."""
    sizes: dict[str, list[str]] = {}
    for name in names:
        head, _, size = name.partition(", ")
        sizes.setdefault(head, []).append(size)
    return [
        f"{head} ({either(filter(None, every))})" if len(every) > 1 else ", ".join(filter(None, (head, *every)))
        for head, every in sizes.items()
    ]


def every_need_words(names: Sequence[str] | None) -> str:
    """Write which other desserts serve every need of a table; nothing where that is not asked."""
    if names is None:
        return ""
    if not names:
        return gettext("No other dessert in the catalog is known to suit all of these needs.")
    return gettext("Other desserts in the catalog that suit all of these needs: %(products)s.") % {
        "products": "; ".join(names_by_size(names))
    }


def need_title(need: NeedServed) -> str:
    """Write a need with how many guests have it, such as "2 guests cannot have gluten (celiac)"."""
    name, count = need_name(need.need), need.guests
    if count is None:
        return _some(need.need, name)
    if need.need not in DIETS:
        sentence = ngettext("%(count)s guest cannot have %(name)s", "%(count)s guests cannot have %(name)s", count)
    elif name.startswith("no "):
        sentence = ngettext("%(count)s guest eats %(name)s", "%(count)s guests eat %(name)s", count)
    else:
        sentence = ngettext("%(count)s guest is %(name)s", "%(count)s guests are %(name)s", count)
    return sentence % {"count": count, "name": name}


def _some(need: str, name: str) -> str:
    if need not in DIETS:
        sentence = gettext("Some guests cannot have %(name)s")
    elif name.startswith("no "):
        sentence = gettext("Some guests eat %(name)s")
    else:
        sentence = gettext("Some guests are %(name)s")
    return sentence % {"name": name}


def _sentence(need: str, free: Sequence[str], others: Sequence[str]) -> str:
    """Write what they cannot have before what they can; names have commas of their own, so semicolons part them."""
    if not others:
        return _all_serves(need, free)
    reasons = gettext("Not for them: %(reasons)s.") % {"reasons": "; ".join(others)}
    return f"{reasons} {_heading(need)} {'; '.join(free)}." if free else f"{reasons} {_nothing(need)}"


def _all_serves(need: str, free: Sequence[str]) -> str:
    if len(free) == 1:
        if need in DIETS:
            return gettext("%(name)s is suitable.") % {"name": free[0]}
        return gettext("%(name)s is free of %(what)s, by the suppliers' labels.") % {
            "name": free[0],
            "what": _plain(need),
        }
    if need in DIETS:
        return gettext("Everything on this table is suitable.")
    return gettext("Everything on this table is free of %(what)s, by the suppliers' labels.") % {"what": _plain(need)}


def _plain(need: str) -> str:
    """Return a need's name without what stands in brackets behind it; somebody's own words keep theirs."""
    return need_name(need) if is_other(need) else need_name(need).partition(" (")[0]


def _lists(need: NeedServed, free: Sequence[str], others: Sequence[str]) -> tuple[DishList, ...]:
    """Write the same as lists; where everything serves, the sentence is short and stays."""
    if not others:
        return ()
    if is_other(need.need):
        return tuple(_other_lists(need))
    rest = DishList(_heading(need.need), tuple(free)) if free else DishList(_nothing(need.need))
    return DishList(gettext("Not for them:"), tuple(others)), rest


def _other_lists(need: NeedServed) -> Iterator[DishList]:
    if inside := tuple(dish_reason(dish) for dish in need.dishes if dish.serves in _INSIDE):
        yield DishList(gettext("Not for them:"), inside)
    if rest := tuple(dish.name for dish in need.dishes if dish.serves not in _INSIDE):
        yield DishList(gettext("Not checked for %(what)s; ask us:") % {"what": _plain(need.need)}, rest)


def _heading(need: str) -> str:
    return gettext("Suitable:") if need in DIETS else gettext("Free of it, by the suppliers' labels:")


def _nothing(need: str) -> str:
    if need in DIETS:
        return gettext("Nothing on this table is known to be suitable.")
    return gettext("Nothing on this table is known to be free of it, by the suppliers' labels.")


def dish_answer(serves: str, codes: Iterable[str]) -> str:
    """Write why something does not serve a need, such as "contains milk"."""
    words = _WHY[Serves(serves)]
    return gettext(words).format(codes=allergen_words(codes)) if words else ""


def dish_reason(dish: DishAnswer, since: str = "") -> str:
    """Name a dish with why it does not serve a need, and since when where that changed."""
    if dish.serves == Serves.NOT_CHECKED and not dish.codes:
        why = gettext("ask us")  # an extra, which is asked for allergens alone
    else:
        why = dish_answer(dish.serves, dish.codes)
    if since:
        why = gettext("%(why)s, changed since %(day)s") % {"why": why, "day": since}
    return f"{dish.name} ({why})"


@dataclass(frozen=True, slots=True)
class NoteShown:
    """An allergy note that no needs stand for, and the needs it names in words; empty where none was recognized."""

    note: str
    needs: str


class _Note(Protocol):
    @property
    def note(self) -> str: ...

    @property
    def missing(self) -> Mapping[str, int | None]: ...


def need_for(code: str, guests: int) -> str:
    """Write a need with how many guests have it, within a sentence: gluten (celiac) for 2 guests."""
    words = ngettext("%(need)s for %(count)s guest", "%(need)s for %(count)s guests", guests)
    return words % {"need": need_name(code), "count": guests}


def note_shown(note: _Note | None) -> NoteShown | None:
    """Write what is open of an allergy note."""
    if note is None:
        return None
    named = (need_name(code) if count is None else need_for(code, count) for code, count in note.missing.items())
    return NoteShown(note.note, joined(list(named)))


def list_words(needs: Iterable[str], counts: Mapping[str, int], note: str) -> str:
    """Write a list of allergies and diets with its numbers and its note: 2 guests: gluten; milk; “no kiwi”."""
    quoted = gettext("notes: “%(note)s”") % {"note": note.strip()} if note.strip() else ""
    return "; ".join(filter(None, (counted_need_words(needs, counts), quoted)))
