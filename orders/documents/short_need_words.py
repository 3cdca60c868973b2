"""A guest's need in one short sentence, for the customer: how many of the table it concerns, and what is left."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext, ngettext

from catalog.pantry.allergens import need_name
from catalog.pantry.declarations import Serves
from catalog.pantry.diets import DIETS
from catalog.pantry.presenters import allergen_word
from catalog.web.display import either, joined
from orders.documents.content import DishAnswer, NeedServed
from orders.documents.need_words import dish_reason, names_by_size, need_title


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


def _what_serves(need: NeedServed, free: Sequence[str], rest: Sequence[DishAnswer], *, extras: bool) -> str:
    if not rest:
        return _everything(need.need, extras=extras)
    if free and len(rest) < len(free):
        return f"{_named(rest)} {_the_others(need.need, len(free))}"
    counted = _counted(rest, len(need.dishes), extras=extras)
    return f"{counted} {_named_free(need.need, free) if free else _nothing(need.need)}"


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
    return gettext("Not for them: %(names)s.") % {"names": "; ".join(dish_reason(dish) for dish in rest)}


def _the_others(need: str, count: int) -> str:
    if need in DIETS:
        return ngettext("The other one is suitable.", "The other %(count)s are suitable.", count) % {"count": count}
    return ngettext(
        "The other one is free of %(what)s, by the suppliers' labels.",
        "The other %(count)s are free of %(what)s, by the suppliers' labels.",
        count,
    ) % {"count": count, "what": _plain(need)}


def _counted(rest: Sequence[DishAnswer], total: int, *, extras: bool) -> str:
    """Count the dishes that contain it, may contain it, and were not checked; the labels beside them say which."""
    contain = [dish for dish in rest if dish.serves == Serves.CONTAINS]
    may = [dish for dish in rest if dish.serves == Serves.MAY_CONTAIN]
    unknown = len(rest) - len(contain) - len(may)
    found = [
        (len(contain), ngettext("contains %(what)s", "contain %(what)s", len(contain)) % {"what": _inside(contain)}),
        (len(may), gettext("may contain %(what)s") % {"what": _inside(may)}),
        (unknown, ngettext("is not checked yet: ask us", "are not checked yet: ask us", unknown)),
    ]
    counted = [(count, verb) for count, verb in found if count]
    # The first says of how many.
    first = ngettext("%(count)s of %(total)s dessert", "%(count)s of %(total)s desserts", total)
    if extras:
        first = gettext("%(count)s of %(total)s desserts and extras")
    parts = [f"{first % {'count': counted[0][0], 'total': total}} {counted[0][1]}"]
    return f"{'; '.join([*parts, *(f'{count} {verb}' for count, verb in counted[1:])])}."


def _inside(dishes: Sequence[DishAnswer]) -> str:
    return either(dict.fromkeys(allergen_word(code) for dish in dishes for code in dish.codes))


def _plain(need: str) -> str:
    """Return a need's name without what stands in brackets behind it."""
    return need_name(need).partition(" (")[0]
