"""Food-safety rules in words: what kind of rule it is, how its text was read, what its choice means; a tax's name."""

from typing import Final

from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_noop as marked

from catalog.kitchen.effects import ProfileEffects
from catalog.kitchen.models import Kitchen
from catalog.kitchen.usual import OBLIGED
from catalog.web import display
from costing.chilling import COLD_C, PROFILES, ClauseKind, Kind, Profile, Seen, TimeOutClause

_KINDS: Final[dict[Kind, str]] = {
    "law": marked("It is law there."),
    "adopted": marked("It is law where a state or county has adopted it; editions differ."),
    "template": marked("It binds a business that operates under that template plan."),
    "model": marked("It is a model code, not law by itself."),
    "guidance": marked("It is guidance, not law."),
}
_SEEN: Final[dict[Seen, str]] = {
    "whole": marked("Its text was read for this."),
    "excerpt": marked("Only a part of its text was read for this."),
    "secondary": marked("It is known only from other accounts of it."),
}
_CLAUSES: Final[dict[ClauseKind, str]] = {
    "rule": marked("the rule’s time"),
    "defence": marked("a defense the kitchen has to prove"),
    "accepted": marked("a method the authority accepts"),
    "house": marked("your own limit"),
}


def rule_words(rule: Profile) -> str:
    """Write what kind of rule it is, how its text was read, and what else was found."""
    return " ".join(
        filter(None, (gettext(_KINDS[rule.kind]), seen_words(rule.seen), _no_temperature(rule), gettext(rule.remark)))
    )


def seen_words(seen: Seen) -> str:
    """Write how a text was read."""
    return gettext(_SEEN[seen])


def _no_temperature(rule: Profile) -> str:
    if rule.cold_c is not None:
        return ""
    return gettext("It states no temperature for cold food: %(cold)s is used, as in the US Food Code.") % {
        "cold": display.temperature(COLD_C)
    }


def clause_words(clause: TimeOutClause) -> str:
    """Write whose limit a time out of the cold is."""
    return gettext(_CLAUSES[clause.kind])


def clause_source(clause: TimeOutClause) -> str:
    """Write where a time out of the cold stands, and how that was read."""
    named = clause_named(clause)
    return named if clause.kind == "house" else f"{named} {seen_words(clause.seen)}"


def clause_named(clause: TimeOutClause) -> str:
    """Write where a time out of the cold stands, for a paper that others read."""
    if clause.kind == "house":
        return gettext("Your own limit: %(source)s.") % {"source": clause.source.rstrip(".")}
    words = gettext(_CLAUSES[clause.kind])
    kind = "" if clause.kind == "rule" else f" {words[:1].upper()}{words[1:]}."
    return f"{gettext(clause.source)}.{kind}"


def choice_asked(food_safety: str) -> str:
    """Write that a rule has to be chosen anew, because it was divided and is no choice any more; else empty."""
    return divided_words(food_safety) if food_safety in (Kitchen.FoodSafety.ANZ, Kitchen.FoodSafety.UK) else ""


def divided_words(food_safety: str) -> str:
    """Write what changed for a kitchen that chose a rule that was divided since; empty for every other rule."""
    parts = PROFILES[food_safety].divided_into if food_safety in PROFILES else ()
    if not parts:
        return ""
    labels = (str(Kitchen.FoodSafety(code).label).partition(":")[0] for code in parts)
    names = display.joined(label.removeprefix("Canada, ") for label in labels)
    if food_safety == Kitchen.FoodSafety.CA:
        return gettext(
            "“Canada” is the model code of 2016, which is not law by itself; its limits are as before. %(names)s can"
            " now be chosen separately, with their own law. Elsewhere ask your authority for its text."
        ) % {"names": names}
    return gettext(
        "%(names)s can now be chosen separately, because their rules differ. Until you choose one, the strictest"
        " limits of all of them are used."
    ) % {"names": names}


#: What the tax on sales is called on documents, where it is not VAT; common practice, no source.
_TAX_NAMES: Final = {
    "US": marked("Sales tax"),
    "CA": "GST/HST",
    "AU": "GST",
    "NZ": "GST",
    "JP": marked("Consumption tax"),
}


def tax_name_of(country: str) -> str:
    """Return what the tax on sales is usually called in a country, by its ISO 3166-1 code."""
    return gettext(_TAX_NAMES.get(country, "VAT"))


def approve_button_of(country: str) -> str:
    """Return words for the approve button where it has to say that the order obliges to pay; empty elsewhere."""
    return gettext("Order with obligation to pay") if country in OBLIGED else ""


def effects_words(found: ProfileEffects, *, gross: bool) -> str:
    """Write what saving a profile would change of recipes, prices and answers about allergens; empty for nothing."""
    parts = []
    if found.recipes:
        text = ngettext(
            "%(n)s recipe with cups or spoons (each such amount by %(share)s at most)",
            "%(n)s recipes with cups or spoons (each such amount by %(share)s at most)",
            found.recipes,
        )
        parts.append(text % {"n": found.recipes, "share": display.percent(found.amounts)})
    if found.prices:
        parts.append(_prices_words(found, gross=gross))
    changes = gettext("Saving it changes %(what)s.") % {"what": display.joined(parts)} if parts else ""
    return " ".join(filter(None, (changes, _allergen_words(found))))


def _allergen_words(found: ProfileEffects) -> str:
    if not found.unchecked:
        return ""
    text = ngettext(
        "The other list of allergens also asks about %(asked)s: %(n)s ingredient is then not checked for it yet, and"
        " what is made of it says so on quotes until you have read its label.",
        "The other list of allergens also asks about %(asked)s: %(n)s ingredients are then not checked for it yet, and"
        " what is made of them says so on quotes until you have read their labels.",
        found.unchecked,
    )
    return text % {"n": found.unchecked, "asked": display.joined(found.asked)}


def _prices_words(found: ProfileEffects, *, gross: bool) -> str:
    if gross:
        text = ngettext(
            "%(n)s list price, which then has the tax in it (%(share)s less without it, at most)",
            "%(n)s list prices, which then have the tax in them (%(share)s less without it, at most)",
            found.prices,
        )
    else:
        text = ngettext(
            "%(n)s list price, to which the tax is then added (%(share)s more to pay, at most)",
            "%(n)s list prices, to which the tax is then added (%(share)s more to pay, at most)",
            found.prices,
        )
    return text % {"n": found.prices, "share": display.percent(found.tax)}
