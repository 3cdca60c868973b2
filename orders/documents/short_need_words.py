"""A guest's need in one short sentence, for the customer: what of the table is not for them, and what is."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import Final

from django.utils.translation import gettext, ngettext

from catalog.pantry.allergens import need_name
from catalog.pantry.declarations import Serves
from catalog.pantry.diets import DIETS
from catalog.pantry.other_needs import is_other
from catalog.web.display import joined
from orders.documents.content import DishAnswer, NeedServed
from orders.documents.need_words import dish_answer, dish_reason, names_by_size, need_title, other_sentence

#: From more desserts on, those of which one answer holds are not named: their labels stand beside them.
MOST_NAMED: Final = 4
#: So many desserts that they can have are named beside those that they cannot; more are "the other 3".
_NAMED_FREE: Final = 2


@dataclass(frozen=True, slots=True)
class NeedInShort:
    """A need with its number of guests, and what of the table they can have; ``met`` where that is everything."""

    title: str
    sentence: str
    met: bool
    instead: str = ""


def need_in_short(
    need: NeedServed, changed: Collection[str] = (), since: str = "", extras: Collection[str] = ()
) -> NeedInShort:
    """Write a need; ``changed`` names the dishes whose answer is another one than on the day ``since``.

    ``extras`` are the names of extras: what is food among them is answered too, and is no dessert.
    """
    free = [dish.name for dish in need.dishes if dish.serves == Serves.FREE]
    rest = [dish for dish in need.dishes if dish.serves != Serves.FREE]
    parts = [_what_serves(need, free, rest, extras=any(dish.name in extras for dish in need.dishes))]
    if since and (others := [dish.name for dish in need.dishes if dish.name in changed]):
        parts.append(gettext("Changed since %(day)s: %(names)s.") % {"day": since, "names": "; ".join(others)})
    return NeedInShort(
        title=need_title(need),
        sentence=" ".join(parts),
        met=not rest,
        instead="" if free else joined(names_by_size(need.instead)),
    )


def needs_together(needs: Sequence[NeedServed]) -> str:
    """Write what suits a guest who has several of the needs, for each is counted alone; nothing where all suits all."""
    dishes = [dish for need in needs for dish in need.dishes]
    if len(needs) < 2 or all(dish.serves == Serves.FREE for dish in dishes):
        return ""
    bad = {dish.name for dish in dishes if dish.serves != Serves.FREE}
    names = [name for name in dict.fromkeys(dish.name for dish in dishes) if name not in bad]
    good = [name for name in names if all(any(dish.name == name for dish in need.dishes) for need in needs)]
    if not good:
        return gettext("For a guest with all of these needs: nothing on this table is known to be suitable.")
    return gettext("For a guest with all of these needs: %(names)s.") % {"names": "; ".join(good)}


def _what_serves(need: NeedServed, free: Sequence[str], rest: Sequence[DishAnswer], *, extras: bool) -> str:
    if is_other(need.need):
        return other_sentence(need)
    if not rest:
        return _everything(need.need, extras=extras)
    if not free:
        return f"{_named(rest)} {_nothing(need.need)}" if len(rest) <= MOST_NAMED else _nothing(need.need)
    if len(rest) > MOST_NAMED >= len(free):
        return _all_but(need.need, free)
    counted = len(free) > _NAMED_FREE
    return f"{_named(rest)} {_the_others(need.need, len(free)) if counted else _named_free(need.need, free)}"


def _all_but(need: str, free: Sequence[str]) -> str:
    """Name what they can have where that is little of the table; the labels beside the others say why."""
    names = "; ".join(free)
    if need in DIETS:
        return gettext("For them: only %(names)s.") % {"names": names}
    words = gettext("For them: only %(names)s, free of %(what)s by the suppliers' labels.")
    return words % {"names": names, "what": _plain(need)}


def _everything(need: str, *, extras: bool) -> str:
    if need in DIETS:
        return gettext("Every dessert and extra is suitable.") if extras else gettext("Every dessert is suitable.")
    one = gettext("Every dessert is free of %(what)s, by the suppliers' labels.")
    both = gettext("Every dessert and extra is free of %(what)s, by the suppliers' labels.")
    return (both if extras else one) % {"what": _plain(need)}


def _nothing(need: str) -> str:
    if need in DIETS:
        return gettext("Nothing on this table is known to be suitable.")
    return gettext("Nothing on this table is known to be free of %(what)s.") % {"what": _plain(need)}


def _named_free(need: str, free: Sequence[str]) -> str:
    """Name what they can have. Names have commas of their own, so semicolons part them."""
    names = "; ".join(free)
    if need in DIETS:
        return gettext("Suitable: %(names)s.") % {"names": names}
    return gettext("Free of %(what)s, by the suppliers' labels: %(names)s.") % {"what": _plain(need), "names": names}


def _named(rest: Sequence[DishAnswer]) -> str:
    """Name what is not for them: each with its reason, several of one reason together."""
    reasons: dict[str, list[DishAnswer]] = {}
    for dish in rest:
        reasons.setdefault(dish_reason(replace(dish, name="")), []).append(dish)
    return gettext("Not for them: %(names)s.") % {"names": "; ".join(map(_same_reason, reasons.values()))}


def _same_reason(dishes: Sequence[DishAnswer]) -> str:
    *most, last = dishes
    if not most:
        return dish_reason(last)
    names, why = "; ".join(dish.name for dish in dishes), dish_answer(last.serves, last.codes) if last.codes else ""
    if not why:
        return "; ".join(map(dish_reason, dishes))
    return gettext("%(names)s (each %(why)s)") % {"names": names, "why": why}


def _the_others(need: str, count: int) -> str:
    if need in DIETS:
        return ngettext("The other one is suitable.", "The other %(count)s are suitable.", count) % {"count": count}
    return ngettext(
        "The other one is free of %(what)s, by the suppliers' labels.",
        "The other %(count)s are free of %(what)s, by the suppliers' labels.",
        count,
    ) % {"count": count, "what": _plain(need)}


def _plain(need: str) -> str:
    """Return a need's name without what stands in brackets behind it."""
    return need_name(need).partition(" (")[0]
