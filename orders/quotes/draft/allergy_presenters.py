"""What the guests of a table cannot or do not eat, in one sentence; the lists behind it are written elsewhere."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext, ngettext

from catalog.pantry.allergens import need_name
from catalog.pantry.declarations import Serves
from catalog.pantry.diets import DIETS
from catalog.pantry.presenters import need_words
from catalog.web import display
from orders.documents.content import NeedServed
from orders.documents.need_words import list_words
from orders.quotes.draft.fine_words import FineWords

#: So many products of one answer are named; of more the first ones, and how many there are besides.
_NAMED: Final = 3


#: Answers in the order of the sentence: what matters most to a guest comes first.
_ORDER: Final = (Serves.CONTAINS, Serves.MAY_CONTAIN, Serves.NOT_CHECKED, Serves.FREE)


@dataclass(frozen=True, slots=True)
class AllergiesShown:
    """The sentence, how many needs are not known to be served by every product, and how many by none."""

    sentence: str
    unmet: int
    unserved: int

    @property
    def met(self) -> bool:
        """Whether every product serves every guest."""
        return not self.unmet


def allergies_shown(needs: Sequence[NeedServed]) -> AllergiesShown | None:
    """Write which products of a table serve the guests' needs; None where none is named or nothing is on the table."""
    found = [need for need in needs if need.dishes]
    if not found:
        return None
    sentence = " ".join(_diet(need) if need.need in DIETS else _allergen(need) for need in found)
    unmet = sum(any(dish.serves != Serves.FREE for dish in need.dishes) for need in found)
    unserved = sum(all(dish.serves != Serves.FREE for dish in need.dishes) for need in found)
    return AllergiesShown(sentence, unmet, unserved)


def _allergen(need: NeedServed) -> str:
    """Write what contains it, may contain it, is not checked and is free of it, by name."""
    groups = {serves: [dish.name for dish in need.dishes if dish.serves == serves] for serves in _ORDER}
    total = len(need.dishes)
    if total > 1 and total in (len(groups[Serves.FREE]), len(groups[Serves.CONTAINS])):
        free = gettext("all %(total)s are free of it") if groups[Serves.FREE] else gettext("all %(total)s contain it")
        return _of_need(need, [free % {"total": total}])
    parts = [_part(serves, names) for serves, names in groups.items() if names and serves != Serves.FREE]
    free_ones = groups[Serves.FREE]
    parts.append(_part(Serves.FREE, free_ones) if free_ones else gettext("none is known to be free of it"))
    return _of_need(need, parts)


def _part(serves: Serves, names: Sequence[str]) -> str:
    n = len(names)
    words = {
        Serves.CONTAINS: ngettext("%(names)s contains it", "%(names)s contain it", n),
        Serves.MAY_CONTAIN: ngettext("%(names)s may contain it", "%(names)s may contain it", n),
        Serves.NOT_CHECKED: ngettext("%(names)s is not checked", "%(names)s are not checked", n),
        Serves.FREE: ngettext("%(names)s is free of it", "%(names)s are free of it", n),
    }
    return words[serves] % {"names": _some_of(names)}


def _of_need(need: NeedServed, parts: Sequence[str]) -> str:
    name = need_name(need.need)
    return gettext("%(need)s: %(answers)s.") % {"need": f"{name[:1].upper()}{name[1:]}", "answers": "; ".join(parts)}


def _some_of(names: Sequence[str]) -> str:
    """Name the first products, and say how many there are besides."""
    more = len(names) - _NAMED
    if more <= 0:
        return display.joined(names)
    others = gettext("%(n)s more") % {"n": more}
    return display.joined([*names[:_NAMED], others])


def _diet(need: NeedServed) -> str:
    """Write what suits a diet, and what does not, by name."""
    good = [dish.name for dish in need.dishes if dish.serves == Serves.FREE]
    bad = [dish.name for dish in need.dishes if dish.serves == Serves.CONTAINS]
    unknown = [dish.name for dish in need.dishes if dish.serves not in (Serves.FREE, Serves.CONTAINS)]
    if len(good) == len(need.dishes):
        return _of_need(need, [gettext("everything is suitable")])
    suits = ngettext("%(names)s is suitable", "%(names)s are suitable", len(good))
    not_for = ngettext("%(names)s is not suitable", "%(names)s are not suitable", len(bad))
    open_ = ngettext("%(names)s is not known to be suitable", "%(names)s are not known to be suitable", len(unknown))
    parts = ((good, suits), (bad, not_for), (unknown, open_))
    if not good and not bad:
        return _of_need(need, [gettext("none of these is known to be suitable")])
    return _of_need(need, [words % {"names": _some_of(names)} for names, words in parts if names])


def fine_shown(found: Iterable[FineWords]) -> list[tuple[str, str]]:
    """Write what is to be checked of the sentences that may say what guests can eat: each mark with its tick."""
    return [(one.mark, _fine(one)) for one in found]


def _fine(one: FineWords) -> str:
    if one.whole:
        return own_words(gettext("Our text"), one)
    facts = {"text": one.text, "needs": need_words(one.codes), "dishes": display.listed(one.dishes)}
    if one.codes and one.dishes:
        words = gettext("“%(text)s” is true for every guest. Not known to be free of %(needs)s: %(dishes)s")
    elif one.dishes:
        words = gettext("“%(text)s” is true for every guest. Not free of every allergen: %(dishes)s")
    else:
        words = gettext("“%(text)s” is true for every guest")
    return words % facts


def own_words(name: str, one: FineWords) -> str:
    """Write what somebody states of a text of the kitchen's: that it is true for the guests of the list."""
    counts = {code: n for code, n in one.guests if n}
    listed = list_words([code for code, _ in one.guests], counts, one.note)
    facts = {"name": name, "text": one.text, "list": listed}
    if not one.guests and not one.note:
        words = gettext("%(name)s: “%(text)s” What it says about food is true for every guest the messages speak of")
        return words % facts
    words = gettext("%(name)s: “%(text)s” What it says about food is true for %(list)s") % facts
    if not (one.codes and one.dishes):
        return words
    facts = {"needs": need_words(one.codes), "dishes": display.listed(one.dishes)}
    return f"{words}. {gettext('Not known to be free of %(needs)s: %(dishes)s') % facts}"
