"""What one load of a product takes, and when its mold is free again, in one line."""

from collections.abc import Sequence

from django.utils.translation import gettext, ngettext

from catalog.products.models import Product, ProductStep
from catalog.rates.models import Station
from catalog.web import display


def load_words(product: Product, steps: Sequence[ProductStep]) -> str:
    """Write what a load takes and when the mold is free: a load takes 2 oven places; the mold is free after “Chill”."""
    places = display.joined(_kind_words(kind, count) for kind, count in _places(product, steps))
    takes = gettext("A load takes %(places)s.") % {"places": places} if places else ""
    return " ".join(part for part in (takes, _mold_words(product, steps)) if part)


def _places(product: Product, steps: Sequence[ProductStep]) -> list[tuple[str, int]]:
    """Return the kinds of station that its steps use or that it names, each with the places one load takes."""
    used = {step.station.kind for step in steps if step.station} | set(product.load_places)
    return [(kind, product.load_places.get(kind, 1)) for kind in Station.Kind.values if kind in used]


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
