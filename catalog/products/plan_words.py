"""What one load of a product takes, who is needed, and when its mold is free again, in one line."""

from collections.abc import Sequence

from django.utils.translation import gettext, ngettext

from catalog.products.models import Product, ProductStep
from catalog.rates.models import Station
from catalog.web import display
from costing.contract import book as values


def load_words(product: Product, steps: Sequence[ProductStep], record: values.Product) -> str:
    """Write what a load takes and when the mold is free: a load takes 2 oven places; the mold is free after “Chill”.

    ``record`` is the product as the Book has it.
    """
    places = display.joined(_kind_words(kind, record.places_at(kind)) for kind in _kinds(steps, record))
    takes = gettext("A load takes %(places)s.") % {"places": places} if places else ""
    return " ".join(part for part in (takes, _hands_words(record), _mold_words(product, steps)) if part)


def _kinds(steps: Sequence[ProductStep], record: values.Product) -> list[str]:
    """Return the kinds of station that its steps use or that it states places for."""
    used = {step.station.kind for step in steps if step.station} | {kind for kind, _ in record.load_places}
    return [kind for kind in Station.Kind.values if kind in used]


def _hands_words(record: values.Product) -> str:
    """Write in how many of its steps somebody is needed throughout."""
    if not record.steps:
        return ""
    words = ngettext(
        "Somebody is needed the whole time in %(throughout)s of its %(steps)s step.",
        "Somebody is needed the whole time in %(throughout)s of its %(steps)s steps.",
        len(record.steps),
    )
    throughout = sum(step.needs_somebody_throughout for step in record.steps)
    return words % {"throughout": throughout, "steps": len(record.steps)}


def _kind_words(kind: str, count: int) -> str:
    """Write places at a kind of station; each kind is a sentence's part of its own, so that it can be translated."""
    if kind == Station.Kind.OVEN:
        words = ngettext("%(count)s oven place", "%(count)s oven places", count)
    elif kind == Station.Kind.REFRIGERATOR:
        words = ngettext("%(count)s refrigerator place", "%(count)s refrigerator places", count)
    elif kind == Station.Kind.FREEZER:
        words = ngettext("%(count)s freezer place", "%(count)s freezer places", count)
    elif kind == Station.Kind.RACK:
        words = ngettext("%(count)s rack place", "%(count)s rack places", count)
    else:
        words = ngettext("%(count)s bench place", "%(count)s bench places", count)
    return words % {"count": count}


def _mold_words(product: Product, steps: Sequence[ProductStep]) -> str:
    if product.mold_id is None:
        return ""
    if product.mold_leaves:
        days = product.mold_back_days
        if days is None:
            return gettext("The mold leaves with the customer and does not come back.")
        words = ngettext(
            "The mold leaves with the customer and is back or replaced %(days)s day after the event.",
            "The mold leaves with the customer and is back or replaced %(days)s days after the event.",
            days,
        )
        return words % {"days": days}
    freeing = next((step for step in steps if step.frees_mold), None)
    if freeing is not None:
        return gettext("The mold is free again after “%(step)s”.") % {"step": freeing}
    return gettext("The mold is free again after the last step.")
