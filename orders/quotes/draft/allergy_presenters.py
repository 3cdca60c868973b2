"""What the guests of a table cannot or do not eat, in one sentence; the lists behind it are written elsewhere."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext, ngettext

from catalog.pantry.allergens import need_name
from catalog.pantry.declarations import Serves
from catalog.pantry.diets import DIETS
from catalog.web import display
from orders.documents.content import NeedServed

#: So many products that are free of everything are named; more are counted.
_NAMED: Final = 2
#: From good to bad: of several answers the worst one is a product's.
_WORST: Final = (Serves.FREE, Serves.NOT_CHECKED, Serves.MAY_CONTAIN, Serves.CONTAINS)


@dataclass(frozen=True, slots=True)
class AllergiesShown:
    """The sentence, and whether every product serves every guest."""

    sentence: str
    met: bool


def allergies_shown(needs: Sequence[NeedServed]) -> AllergiesShown | None:
    """Write which products of a table serve the guests' needs; None where none is named or nothing is on the table."""
    found = [need for need in needs if need.dishes]
    if not found:
        return None
    allergens = [need for need in found if need.need not in DIETS]
    sentences = [_allergens(allergens)] if allergens else []
    sentences += [_diet(need) for need in found if need.need in DIETS]
    met = all(dish.serves == Serves.FREE for need in found for dish in need.dishes)
    return AllergiesShown(" ".join(sentences), met)


def _allergens(needs: Sequence[NeedServed]) -> str:
    worst = _worst_answers(needs)
    groups = {serves: [name for name, one in worst.items() if one == serves] for serves in _WORST}
    free = groups[Serves.FREE]
    names, total = _either([need_name(need.need) for need in needs]), len(worst)
    if len(free) == total:
        all_free = ngettext("It is free of %(names)s.", "All %(total)s are free of %(names)s.", total)
        every = display.joined([need_name(need.need) for need in needs])
        return all_free % {"names": every, "total": total}
    parts = []
    contain = groups[Serves.CONTAINS]
    if len(contain) == total:
        return ngettext("It contains %(names)s.", "All %(total)s contain %(names)s.", total) % {
            "names": names,
            "total": total,
        }
    if contain:
        words = ngettext("%(n)s of %(total)s contains %(names)s", "%(n)s of %(total)s contain %(names)s", len(contain))
        parts.append(words % {"n": len(contain), "total": total, "names": names})
    for serves in (Serves.MAY_CONTAIN, Serves.NOT_CHECKED):
        if some := groups[serves]:
            parts.append(_others(serves, len(some), total, names, first=not parts))
    return f"{', '.join(parts)}; {_free_words(free, len(needs))}."


def _others(serves: Serves, n: int, total: int, names: str, *, first: bool) -> str:
    """Write how many may contain it or are not checked: in full where that is the first of the sentence."""
    facts = {"n": n, "total": total, "names": names}
    if serves == Serves.MAY_CONTAIN:
        if first:
            return gettext("%(n)s of %(total)s may contain %(names)s") % facts
        return gettext("%(n)s may contain it") % facts
    if first:
        words = ngettext(
            "%(n)s of %(total)s is not checked for %(names)s", "%(n)s of %(total)s are not checked for %(names)s", n
        )
        return words % facts
    return ngettext("%(n)s is not checked for it", "%(n)s are not checked for it", n) % facts


def _free_words(free: Sequence[str], needs: int) -> str:
    """Write what is free of all that was named."""
    what = {1: gettext("it"), 2: gettext("both")}.get(needs, gettext("all of these"))
    if not free:
        return gettext("none is known to be free of %(what)s") % {"what": what}
    if len(free) > _NAMED:
        return gettext("%(n)s are free of %(what)s") % {"n": len(free), "what": what}
    facts = {"products": display.joined(free), "what": what}
    return ngettext("%(products)s is free of %(what)s", "%(products)s are free of %(what)s", len(free)) % facts


def _diet(need: NeedServed) -> str:
    """Write how many products suit a diet, and which where they are few."""
    good = [dish.name for dish in need.dishes if dish.serves == Serves.FREE]
    name = need_name(need.need)
    facts = {"diet": f"{name[:1].upper()}{name[1:]}", "n": len(good), "total": len(need.dishes)}
    if not good:
        return gettext("%(diet)s: none of these is known to be suitable.") % facts
    if len(good) == len(need.dishes):
        return gettext("%(diet)s: everything is suitable.") % facts
    if len(good) > _NAMED:
        return gettext("%(diet)s: %(n)s of %(total)s are suitable.") % facts
    named = gettext("%(diet)s: %(n)s of %(total)s suitable (%(products)s).")
    return named % {**facts, "products": display.joined(good)}


def _worst_answers(needs: Iterable[NeedServed]) -> dict[str, Serves]:
    found: dict[str, Serves] = {}
    for need in needs:
        for dish in need.dishes:
            answers = (found.get(dish.name, Serves.FREE), Serves(dish.serves))
            found[dish.name] = max(answers, key=_WORST.index)
    return found


def _either(names: Collection[str]) -> str:
    """Write a list with "or": egg, milk or nuts."""
    *most, last = names
    return gettext("%(names)s or %(last)s") % {"names": ", ".join(most), "last": last} if most else last
