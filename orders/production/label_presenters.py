"""What is made for some orders, in words: its allergens, and for whose guests it is not."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.pantry.allergens import need_name
from catalog.pantry.declarations import Serves
from catalog.pantry.diets import DIETS
from catalog.pantry.presenters import allergen_words, counted_need_words, label_words, untrue_sentence
from catalog.products.claims import unproven_words
from catalog.web.display import joined
from costing.contract import Recipe
from orders.documents.need_words import need_for
from orders.production.made_labels import Concern, ExtraLabel, GuestNeeds, MadeLabel, MadeLabels
from orders.production.tasks import Task

_AGAINST: Final = {
    Serves.CONTAINS: marked("contains %(allergens)s"),
    Serves.MAY_CONTAIN: marked("may contain %(allergens)s"),
    Serves.NOT_CHECKED: marked("not checked yet"),
}


#: Of guests of whom no allergy or diet is known.
ASKED_NONE: Final = marked("asked, none named")
NOT_ASKED: Final = marked("not asked about allergies")


@dataclass(frozen=True, slots=True)
class LabelShown:
    """What something contains, for whom it is not and why, and for whom it has to stay free of something."""

    label: str
    not_for: tuple[str, ...] = ()
    keep: str = ""
    untrue: str = ""


@dataclass(frozen=True, slots=True)
class GuestsShown:
    """The needs among an order's guests in words, and what was written about them."""

    order: str
    title: str
    needs: str
    notes: tuple[str, ...]


def label_shown(found: MadeLabel | None, name: str = "") -> LabelShown | None:
    """Write a label, and what the ``name`` above it claims that is not true any more."""
    if found is None:
        return None
    one = found.declared
    against = [concern for concern in found.concerns if concern.answer.serves != Serves.FREE]
    untrue = unproven_words(name, one, found.which)
    return LabelShown(
        untrue=untrue_sentence(untrue) if untrue else "",
        label=label_words(one.allergens, one.may_allergens, one.unchecked_allergens, found.which, names=one.names),
        not_for=tuple(map(_against, against)),
        keep=_stays_free(one for one in found.concerns if one.answer.serves == Serves.FREE and not one.spared),
    )


def _against(concern: Concern) -> str:
    why = gettext(_AGAINST[concern.answer.serves]) % {"allergens": allergen_words(concern.answer.codes)}
    words = {"order": concern.order, "need": _counted(concern), "why": why}
    return gettext("%(order)s, %(need)s: %(why)s") % words


def _stays_free(concerns: Iterable[Concern]) -> str:
    """Write of which allergens it has to stay free, and for which orders; a diet is no matter of traces."""
    of_orders: dict[str, list[str]] = {}
    for concern in concerns:
        if concern.need not in DIETS:
            of_orders.setdefault(concern.order, []).append(need_name(concern.need))
    return "; ".join(f"{joined(names)} ({order})" for order, names in of_orders.items())


def _counted(concern: Concern) -> str:
    return need_name(concern.need) if concern.guests is None else need_for(concern.need, concern.guests)


def guests_shown(guests: Iterable[GuestNeeds]) -> list[GuestsShown]:
    """Write the needs among the guests of each order; then the orders without any, as they were asked or not."""
    every = list(guests)
    named = [one for one in every if one.needs or one.notes]
    rest = [one for one in every if not one.needs and not one.notes]
    shown = [GuestsShown(one.order.number, one.order.title, _needs_of(one), one.notes) for one in named]
    for asked, words in ((True, ASKED_NONE), (False, NOT_ASKED)):
        if numbers := [one.order.number for one in rest if one.asked_none == asked]:
            shown.append(GuestsShown(", ".join(numbers), "", gettext(words), ()))
    return shown


def _needs_of(guests: GuestNeeds) -> str:
    """Write the needs of an order's guests with their counts: a guest who has two of them is in both."""
    words = counted_need_words(guests.needs, guests.counts)
    if len(guests.needs) < 2:
        return words
    return gettext("%(needs)s (a guest may have several)") % {"needs": words}


@dataclass(frozen=True, slots=True)
class ExtraShown:
    """An extra that is food, of which order, with its label."""

    order: str
    title: str
    name: str
    label: LabelShown


def extras_shown(extras: Iterable[ExtraLabel]) -> list[ExtraShown]:
    """Write the extras that are food; nothing is made for them, so nothing has to be left free of anything."""
    found = ((extra, label_shown(extra.label)) for extra in extras)
    return [
        ExtraShown(extra.order.number, extra.order.title, extra.name, replace(label, keep=""))
        for extra, label in found
        if label is not None
    ]


def first_labels(tasks: Iterable[Task], labels: MadeLabels) -> list[LabelShown | None]:
    """Return for each task its recipe's label where it is the first task of that recipe."""
    seen: set[str] = set()
    shown: list[LabelShown | None] = []
    for task in tasks:
        new = isinstance(task.of, Recipe) and task.of.code not in seen
        shown.append(label_shown(labels.recipes.get(task.of.code), task.of.name) if new else None)
        if isinstance(task.of, Recipe):
            seen.add(task.of.code)
    return shown
