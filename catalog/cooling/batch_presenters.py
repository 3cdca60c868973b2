"""A batch in words: how many batches, in which vessels, how deep."""

from fractions import Fraction

from django.utils.translation import gettext

from catalog.cooling.batches import Batches, bath_ice_kg
from catalog.cooling.stages import CoolingCycle
from catalog.cooling.words import length
from catalog.web import display
from catalog.web.display.handy import weighed


def mass_words(grams: Fraction) -> str:
    """Write a mass as the kitchen's scale shows it."""
    return weighed(grams, pounds=display.current().measures == "us")


def ice_words(kg: float) -> str:
    """Write how much ice a bath melts, up to what a scale shows; the room melts some more."""
    return gettext("%(mass)s of ice or more") % {"mass": mass_words(Fraction(kg) * 1000)}


def bath_ice_words(cycle: CoolingCycle) -> str:
    """Write how much ice the ice bath of a batch takes; empty without one."""
    kg = bath_ice_kg(cycle)
    return "" if kg is None else ice_words(kg)


def batches_words(batches: Batches) -> str:
    """Write an amount and the batches it is made in."""
    amount = mass_words(batches.grams)
    if batches.count == 1:
        return gettext("%(amount)s, one batch") % {"amount": amount}
    words = {"amount": amount, "count": batches.count, "each": mass_words(batches.each_kg * 1000)}
    return gettext("%(amount)s, in %(count)s batches of %(each)s") % words


def vessels_words(cycle: CoolingCycle) -> str:
    """Write the vessels of a batch, how deep it stands in them, and how much is in each."""
    fill, name = cycle.plan.fill, cycle.after.vessel
    if fill is None:
        return ""
    words = {"count": fill.count, "vessel": name, "depth": length(fill.height_mm)}
    if fill.count == 1:
        return gettext("%(vessel)s, %(depth)s deep") % words
    words["each"] = mass_words(Fraction(fill.each_kg) * 1000)
    return gettext("%(count)s × %(vessel)s, %(depth)s deep, %(each)s in each") % words
