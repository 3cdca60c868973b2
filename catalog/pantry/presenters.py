"""Allergens in plain words."""

from collections.abc import Collection, Iterable, Mapping
from typing import Final

from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_noop as marked

from catalog.pantry.allergens import EU, NAMED_BY_SPECIES, NOT_NAMED, US, allergen_name, asked_of, need_name
from catalog.pantry.common import PACKING, Common
from catalog.pantry.diets import DIETS
from catalog.pantry.other_needs import with_names_joined
from catalog.web.display import joined


def allergen_word(code: str) -> str:
    """Return the plain name of an allergen's code."""
    return allergen_name(str(code))


def allergen_words(codes: Iterable[str] | None) -> str:
    """Write several allergens as part of a sentence; what nobody named comes last, where its comma misleads nobody."""
    every = with_names_joined(sorted(codes or (), key=NOT_NAMED.__contains__))
    return joined(allergen_word(code) for code in every)


#: More open questions than this are counted, not listed.
_LISTED: Final = 6
_NO_NAMES: Final[Mapping[str, Collection[str]]] = {}


def untrue_sentence(words: Iterable[str]) -> str:
    """Write which words of a name or a text do not hold: they are not true, or nobody checked them."""
    return gettext("these words no longer hold: %(words)s") % {"words": "; ".join(f"“{one}”" for one in words)}


def label_words(
    contains: Collection[str],
    may: Collection[str],
    unchecked: Collection[str],
    which: str,
    *,
    names: Mapping[str, Collection[str]] = _NO_NAMES,
    ask: str = "",
) -> str:
    """Write what something contains, may contain and was not checked for, under a list of allergens.

    ``which`` is empty where nobody recorded what was checked; ``ask`` is whom to ask, such as "ask us".
    """
    parts = []
    if contains:
        parts.append(gettext("Contains %(allergens)s.") % {"allergens": named_words(contains, names, which)})
    if may:
        parts.append(gettext("May contain %(allergens)s.") % {"allergens": named_words(may, names, which)})
    if unchecked or not which:
        parts.append(f"{_open_words(contains, may, unchecked, which)}{f': {ask}' if ask else ''}.")
    return " ".join(parts) or _none_words(which)


_NONE: Final = {US: marked("None of the major allergens."), EU: marked("None of the 14 allergens of the list.")}


def _none_words(which: str) -> str:
    """Write that it has none of the allergens of a list: "major" is a word of the law of the United States."""
    return gettext(_NONE.get(which, marked("None of the allergens of the list.")))


def _open_words(contains: Collection[str], may: Collection[str], unchecked: Collection[str], which: str) -> str:
    known = {*contains, *may}
    if not which or set(asked_of(which)) - known <= set(unchecked):
        return gettext("Other allergens not checked yet") if known else gettext("Allergens not checked yet")
    return gettext("Not checked yet for %(allergens)s") % {"allergens": unchecked_words(unchecked)}


def unchecked_words(codes: Collection[str]) -> str:
    """Write what was not checked: by name, or counted where a list would be too long to read."""
    if len(codes) <= _LISTED:
        return allergen_words(codes)
    return gettext("%(count)s allergens") % {"count": len(codes)}


def named_words(codes: Iterable[str], names: Mapping[str, Collection[str]], which: str) -> str:
    """Write allergens, each with its species where that is known; where the law asks for it, that nobody named it."""
    words = {code: allergen_word(code) for code in codes}
    for code, word in words.items():
        plain = word.partition(" (")[0]
        if names.get(code):
            words[code] = f"{plain} ({joined(sorted(names[code]))})"
        elif code in NAMED_BY_SPECIES.get(which, ()):
            words[code] = gettext("%(allergen)s (species not named)") % {"allergen": plain}
    return joined(words[code] for code in sorted(words, key=NOT_NAMED.__contains__))


def diet_words(diets: Iterable[str]) -> str:
    """Write the diets that something serves, such as "Vegetarian, no alcohol"."""
    words = ", ".join(gettext(DIETS[code].name) for code in diets if code in DIETS)
    return words[:1].upper() + words[1:]


def need_words(codes: Iterable[str] | None) -> str:
    """Write several needs of guests as part of a sentence."""
    return joined(need_name(str(code)) for code in codes or ())


def counted_need_words(codes: Iterable[str] | None, counts: Mapping[str, int] | None) -> str:
    """Write several needs with how many guests have each, where that is known: 2 guests: gluten (celiac); milk."""
    numbers = counts or {}
    words = [_counted_need(code, numbers.get(code)) for code in codes or ()]
    return "; ".join(words) if numbers else joined(words)


def _counted_need(code: str, guests: int | None) -> str:
    if guests is None:
        return need_name(code)
    words = ngettext("%(count)s guest: %(need)s", "%(count)s guests: %(need)s", guests)
    return words % {"count": guests, "need": need_name(code)}


_COMMON_GROUPS: Final = {
    "dairy": marked("Dairy and eggs"),
    "flour": marked("Flour and grain"),
    "sugar": marked("Sugar and syrup"),
    "chocolate": marked("Chocolate"),
    "nuts": marked("Nuts, seeds, coconut"),
    "fat": marked("Oil and fat"),
    "fruit": marked("Fruit"),
    "leavening": marked("Leavening, setting, flavor"),
    "packing": marked("Packaging"),
}


def common_group_word(code: str) -> str:
    """Write the name of a group of common ingredients."""
    return gettext(_COMMON_GROUPS[code])


def common_known_words(common: Common) -> str:
    """Write which figures of a common ingredient are known, and that none are."""
    if common.group == PACKING:
        return gettext("counted")
    known = [
        word
        for word, is_known in (
            (gettext("weight by the cup"), common.density is not None),
            (gettext("weight of one"), common.grams_each is not None),
            (gettext("waste"), common.yield_share != 1),
            (joined([part_word(part.code) for part in common.parts]), bool(common.parts)),
            (gettext("composition"), bool(common.food and common.food.composition)),
        )
        if is_known
    ]
    return joined(known) or gettext("no figures yet, so use it by weight")


_PARTS: Final = {"yolk": marked("yolk"), "white": marked("white"), "juice": marked("juice"), "zest": marked("zest")}


def part_word(code: str) -> str:
    """Write a part of a common ingredient."""
    return gettext(_PARTS[code])
