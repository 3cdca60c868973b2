"""The allergens an ingredient can carry, which of them each legal list counts, and what a guest's need covers.

Sources
-------
United States: 21 USC 321(qq)(1) (milk, egg, fish, Crustacean shellfish, tree nuts, wheat, peanuts, soybeans) and
Pub. L. 117-11 section 2(a) (sesame); the type of nut is named, "tree nuts" may not stand alone (21 USC 343(w)(2)).
Which nuts: FDA, Questions and Answers Regarding Food Allergens, edition 5 (January 2025); pine nut in, coconut out.
European Union: Regulation 1169/2011 Annex II (fourteen): eight nuts, pine nut none of them, and four cereals, each by
its name (Art. 21(1)(a)). The United Kingdom's list is the same (assimilated regulation).
Australia and New Zealand: Food Standards Code, Standard 1.2.3 and Schedule 9 (S9-3): nine nuts with pine nut, no
celery, no mustard; sulphites from 10 mg/kg.
Canada: Food and Drug Regulations B.01.010.1: nine nuts with pine nut, mustard, no celery, no lupin; barley, oats and
rye as sources of gluten; added sulphites.
How each was read is beside the checks of them, in ``tests/published``.
The lists do not replace reading the suppliers' labels.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.pantry.diets import DIET_NAMES, DIETS
from catalog.pantry.other_needs import is_other, is_other_code, other_covered, other_words

US: Final = "us"
EU: Final = "eu"
ANZ: Final = "anz"
CA: Final = "ca"

#: Codes that name a whole group. On an ingredient they are answers of earlier days: something of it, nobody said what.
#: A guest's need for one covers all of it.
GLUTEN: Final = "gluten"
TREE_NUTS: Final = "tree-nuts"


@dataclass(frozen=True, slots=True)
class Allergen:
    """A code on ingredients, its plain name, the lists that name it, and the group it belongs to."""

    code: str
    name: str
    lists: frozenset[str]
    group: str = ""


_ALL = frozenset({US, EU, ANZ, CA})
_US = frozenset({US})
_EU = frozenset({EU})
#: Lists that count each cereal with gluten, not wheat alone.
_CEREALS = _ALL - _US

ALLERGENS: Final = tuple(
    Allergen(code, name, lists, group)
    for code, name, lists, group in (
        ("milk", marked("milk"), _ALL, ""),
        ("eggs", marked("eggs"), _ALL, ""),
        ("wheat", marked("wheat"), _ALL, GLUTEN),
        ("rye", marked("rye"), _CEREALS, GLUTEN),
        ("barley", marked("barley"), _CEREALS, GLUTEN),
        ("oats", marked("oats"), _CEREALS, GLUTEN),
        ("peanuts", marked("peanuts"), _ALL, ""),
        ("soybeans", marked("soybeans"), _ALL, ""),
        ("sesame", marked("sesame"), _ALL, ""),
        ("fish", marked("fish"), _ALL, ""),
        ("crustaceans", marked("crustaceans"), _ALL, ""),
        ("molluscs", marked("molluscs"), _ALL - _US, ""),
        ("celery", marked("celery"), _EU, ""),
        ("mustard", marked("mustard"), _EU | {CA}, ""),
        ("sulphites", marked("sulphur dioxide and sulphites"), _ALL - _US, ""),
        ("lupin", marked("lupin"), _EU | {ANZ}, ""),
        ("almonds", marked("almonds"), _ALL, TREE_NUTS),
        ("brazil-nuts", marked("Brazil nuts"), _ALL, TREE_NUTS),
        ("cashews", marked("cashews"), _ALL, TREE_NUTS),
        ("hazelnuts", marked("hazelnuts"), _ALL, TREE_NUTS),
        ("macadamias", marked("macadamias"), _ALL, TREE_NUTS),
        ("pecans", marked("pecans"), _ALL, TREE_NUTS),
        ("pine-nuts", marked("pine nuts"), _ALL - _EU, TREE_NUTS),
        ("pistachios", marked("pistachios"), _ALL, TREE_NUTS),
        ("walnuts", marked("walnuts"), _ALL, TREE_NUTS),
        ("black-walnuts", marked("black walnuts"), _US, TREE_NUTS),
        ("california-walnuts", marked("California walnuts"), _US, TREE_NUTS),
        ("heartnuts", marked("heartnuts"), _US, TREE_NUTS),
    )
)

#: Allergens whose species or kind a label names, by list: 21 USC 343(w)(2); in Canada by common name, B.01.010.1(2).
NAMED_BY_SPECIES: Final = {US: ("fish", "crustaceans"), CA: ("fish", "crustaceans", "molluscs")}

#: What stands for the species or kind where the label was read and does not name it.
NOT_ON_LABEL: Final = marked("not named on the label")

_BY_CODE: Final = {allergen.code: allergen for allergen in ALLERGENS}
#: What stands for a whole group on an ingredient, and among the needs of guests.
NOT_NAMED: Final = {GLUTEN: marked("a gluten cereal, not named"), TREE_NUTS: marked("a tree nut, not named")}
_NEEDS: Final = {GLUTEN: marked("gluten (celiac)"), TREE_NUTS: marked("tree nuts")}
#: What is added where an ingredient is asked.
_REMARKS: Final = {"fish": marked("%(allergen)s (also fish gelatin)")}
#: What is added where a need is chosen.
_COVERS: Final = {TREE_NUTS: marked("%(need)s (all)"), "walnuts": marked("%(need)s (every kind)")}
#: Other walnuts than the common one: who cannot eat walnuts is given none of them (caution of ours, no source).
_WALNUTS: Final = ("black-walnuts", "california-walnuts", "heartnuts")


def allergen_name(code: str) -> str:
    """Return the plain name; a code that is not listed (from an imported Book) is returned as it is."""
    if is_other(code):
        return other_words(code)
    known = _BY_CODE.get(code)
    words = known.name if known else NOT_NAMED.get(code) or DIET_NAMES.get(code)
    return gettext(words) if words else code.replace("-", " ")


def need_name(code: str) -> str:
    """Return what a guest who names this cannot or does not eat, in plain words."""
    diet = DIETS.get(code)
    words = diet.name if diet else _NEEDS.get(code)
    return gettext(words) if words else allergen_name(code)


def allergen_choices(which: str, saved: Iterable[str] = ()) -> list[tuple[str, str]]:
    """Return (code, name) of what an ingredient is asked for under a legal list, such as ``us``, or had before.

    Every cereal with gluten is asked for, also where the law names wheat alone: people with celiac disease ask.
    """
    names = {code: allergen_name(code) for code in [*asked_of(which), *saved]}
    return [(code, gettext(_REMARKS.get(code, "%(allergen)s")) % {"allergen": name}) for code, name in names.items()]


@cache
def asked_of(which: str) -> tuple[str, ...]:
    """Return the codes that an ingredient is asked for under a legal list; every cereal with gluten is one."""
    return tuple(one.code for one in ALLERGENS if which in one.lists or one.group == GLUTEN)


def is_allergen(code: str) -> bool:
    """Return whether a code is that of one allergen, whichever legal list has it."""
    return code in _BY_CODE


def need_choices(which: str, saved: Iterable[str] = ()) -> list[tuple[str, str]]:
    """Return (code, name) of what guests may not eat under a legal list, or were entered with before.

    A whole group stands before what is in it, and diets come last.
    """
    codes: list[str] = []
    for one in ALLERGENS:
        if which in one.lists and one.code not in _WALNUTS:
            codes += [one.group, one.code] if one.group else [one.code]
    names = {code: need_name(code) for code in [*codes, *DIETS, *saved]}
    return [(code, gettext(_COVERS.get(code, "%(need)s")) % {"need": name}) for code, name in names.items()]


def is_need(code: str) -> bool:
    """Return whether a code stands for what a guest may not eat, whichever legal list has it, or none."""
    return code in _BY_CODE or code in NOT_NAMED or code in DIETS or is_other_code(code)


def covered(need: str) -> frozenset[str]:
    """Return the codes on ingredients that somebody with this need is not given.

    A group covers all that is in it; and something of a group that nobody named may be what she cannot eat.
    """
    inside = {one.code for one in ALLERGENS if one.group == need}
    if is_other(need):
        return frozenset({other_covered(need)})
    known = _BY_CODE.get(need)
    unnamed = {known.group} if known and known.group else set()
    more = set(_WALNUTS) if need == "walnuts" else set()
    return frozenset({need} | inside | unnamed | more)
