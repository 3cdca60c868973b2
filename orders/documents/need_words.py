"""Which desserts serve a guest's need, in one sentence, or in lists where a sentence would be long."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Protocol

from catalog.pantry.allergens import need_name
from catalog.pantry.declarations import Serves
from catalog.pantry.diets import DIETS
from catalog.pantry.presenters import allergen_words
from catalog.web.display import joined
from orders.documents.content import DishAnswer, NeedServed

_WHY: Final = {
    Serves.CONTAINS: "contains {codes}",
    Serves.MAY_CONTAIN: "may contain {codes}",
    Serves.NOT_CHECKED: "not checked yet",
    Serves.FREE: "",
}


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
    others = [_reason(dish, since if dish.name in changed else "") for dish in rest]
    return NeedShown(
        title=need_title(need),
        sentence=_sentence(need.need, free, others),
        instead=joined(_by_name(need.instead)),
        met=not others,
        served=bool(free),
        lists=_lists(need.need, free, others) if len(need.dishes) >= LISTED_FROM else (),
    )


def _by_name(names: Sequence[str]) -> list[str]:
    """Write each dessert once; those that differ behind the first comma alone, in size, together."""
    sizes: dict[str, list[str]] = {}
    for name in names:
        head, _, size = name.partition(", ")
        sizes.setdefault(head, []).append(size)
    return [
        f"{head} ({' or '.join(filter(None, every))})" if len(every) > 1 else ", ".join(filter(None, (head, *every)))
        for head, every in sizes.items()
    ]


def need_title(need: NeedServed) -> str:
    """Write a need with how many guests have it, such as "2 guests cannot have gluten (celiac)"."""
    name, one = need_name(need.need), need.guests == 1
    who = "Some guests" if need.guests is None else f"{need.guests} {'guest' if one else 'guests'}"
    if need.need not in DIETS:
        return f"{who} cannot have {name}"
    if name.startswith("no "):
        return f"{who} {'eats' if one else 'eat'} {name}"
    return f"{who} {'is' if one else 'are'} {name}"


def _sentence(need: str, free: Sequence[str], others: Sequence[str]) -> str:
    """Write what they cannot have before what they can; names have commas of their own, so semicolons part them."""
    good = _good(need)
    if not others:
        return f"Everything on this table is {good}." if len(free) > 1 else f"{joined(free)} is {good}."
    reasons = "; ".join(others)
    rest = f"{good[:1].upper()}{good[1:]}: {'; '.join(free)}." if free else _NOTHING.format(good=good)
    return f"Not for them: {reasons}. {rest}"


def _lists(need: str, free: Sequence[str], others: Sequence[str]) -> tuple[DishList, ...]:
    """Write the same as lists; where everything serves, the sentence is short and stays."""
    if not others:
        return ()
    good = _good(need)
    rest = DishList(f"{good[:1].upper()}{good[1:]}:", tuple(free)) if free else DishList(_NOTHING.format(good=good))
    return DishList("Not for them:", tuple(others)), rest


_NOTHING: Final = "Nothing on this table is known to be {good}."


def _good(need: str) -> str:
    return "suitable" if need in DIETS else "free of it, by the suppliers' labels"


def dish_answer(serves: str, codes: Iterable[str]) -> str:
    """Write why something does not serve a need, such as "contains milk"."""
    return _WHY[Serves(serves)].format(codes=allergen_words(codes))


def _reason(dish: DishAnswer, since: str) -> str:
    mark = f", changed since {since}" if since else ""
    if dish.serves == Serves.NOT_CHECKED and not dish.codes:
        return f"{dish.name} (ask us{mark})"  # an extra, which is asked for allergens alone
    return f"{dish.name} ({dish_answer(dish.serves, dish.codes)}{mark})"


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


def note_shown(note: _Note | None) -> NoteShown | None:
    """Write what is open of an allergy note."""
    if note is None:
        return None
    named = (
        need_name(code) if count is None else f"{count} × {need_name(code)}" for code, count in note.missing.items()
    )
    return NoteShown(note.note, joined(list(named)))
