"""What in a recipe asks for the cold: milk, egg, cream, gelatin, custard; and ticks of "safe at room temperature".

Milk and eggs follow from the allergens that ingredients contain. Gelatin, cream and custard are no allergens: they
follow from an ingredient's row of the USDA food table, or from a word in the name of an ingredient or recipe. A name
in another language is not found, so nothing is concluded from its silence. For a tick an ingredient that nobody checked
for milk or egg counts as one that may hold it; traces by a supplier's label are an answer, and no food of themselves.

A tick on a recipe with one of them counts only with its source. The US Food Code takes a food with milk or egg for one
that needs time/temperature control for safety unless its water activity and pH show otherwise (2022, 1-201.10(B), the
definition with tables A and B; their text was read in state rules that copy it: 25 Texas Administrative Code
228.2(144), Tennessee Rules 0080-04-09-.01). That a letter of a laboratory or authority is the usual proof is common
practice, no source.
"""

import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from catalog.book.known import KnownByBook
from catalog.pantry.declarations import CONTAINS
from catalog.recipes.models import RecipeLine
from costing.contract import Book, Ingredient, Recipe

#: Allergen -> what it is here.
_ALLERGENS: Final[Mapping[str, str]] = {"milk": "milk", "eggs": "egg"}
#: Row of USDA SR28 -> what it is: creams, soft cheeses and gelatin of ``catalog/pantry/data/usda_sr28.csv``.
USDA_ROWS: Final[Mapping[str, str]] = {
    "01017": "cream",
    "01052": "cream",
    "01053": "cream",
    "01056": "cream",
    "19177": "gelatin",
}
#: Allergen nobody checked an ingredient for -> what it may be.
_UNCHECKED: Final[Mapping[str, str]] = {"milk": "milk_unchecked", "eggs": "egg_unchecked"}
#: The words looked for in names without their accents, in English and as English kitchens write French; whole words,
#: one or several of it, in any case.
WORDS: Final[Mapping[str, re.Pattern[str]]] = {
    "milk": re.compile(r"\b((butter)?milks?|quark|ricotta|yogh?urts?)\b", re.IGNORECASE),
    "egg": re.compile(r"\b(eggs?|(egg)?yolks?|egg ?whites?)\b", re.IGNORECASE),
    # Cream of tartar is a salt.
    "cream": re.compile(r"\b(creams?|cremes?|mascarpone)\b(?!\s+of\s+tartar)", re.IGNORECASE),
    "custard": re.compile(r"\b(custards?|patissieres?|anglaises?|curds?)\b", re.IGNORECASE),
    "gelatin": re.compile(r"\bgelatine?s?\b", re.IGNORECASE),
}


def words_in(name: str) -> frozenset[str]:
    """Return which of ``WORDS`` a name has in it, with or without its accents."""
    plain = "".join(each for each in unicodedata.normalize("NFKD", name) if not unicodedata.combining(each))
    return frozenset(word for word, pattern in WORDS.items() if pattern.search(plain))


@dataclass(frozen=True, slots=True)
class Held:
    """A name of a recipe or ingredient; of an ingredient its row of the food table and the allergens it contains.

    ``unchecked`` are the allergens of ``_ALLERGENS`` that nobody checked the ingredient for.
    """

    name: str
    row: str = ""
    allergens: tuple[str, ...] = ()
    unchecked: tuple[str, ...] = ()


def perishables(parts: Iterable[Held]) -> tuple[str, ...]:
    """Return which of them some names, rows and allergens stand for, in a fixed order."""
    found: set[str] = set()
    for part in parts:
        found |= {_ALLERGENS[code] for code in part.allergens if code in _ALLERGENS}
        found |= words_in(part.name)
        if part.row in USDA_ROWS:
            found.add(USDA_ROWS[part.row])
    return tuple(word for word in WORDS if word in found)


def held_or_unchecked(parts: Iterable[Held]) -> tuple[str, ...]:
    """Return what ``perishables()`` returns, then what nobody checked an ingredient for where nothing else has it."""
    every = list(parts)
    found = perishables(every)
    open_ = {code for part in every for code in part.unchecked if _ALLERGENS[code] not in found}
    return (*found, *(word for code, word in _UNCHECKED.items() if code in open_))


def parts_of(codes: Iterable[str], book: Book) -> Iterator[Held]:
    """Yield recipes of the Book and all that is in them, through the recipes inside them too."""
    met, left = set[str](), list(codes)
    while left:
        code = left.pop()
        if code in met:
            continue
        met.add(code)
        recipe = book.recipe(code)
        yield Held(recipe.name)
        left += [line.recipe for line in recipe.lines if line.recipe is not None]
        for line in recipe.lines:
            if line.ingredient is not None:
                yield held_of(book.ingredient(line.ingredient))


def held_of(found: Ingredient) -> Held:
    """Return an ingredient of the Book as what may ask for the cold."""
    return _bought(found.name, found.ndb, found.allergens, dict(found.allergen_answers))


def _bought(name: str, row: str, allergens: Iterable[str], answers: Mapping[str, str]) -> Held:
    """Return an ingredient by its list of allergens and by the answers beside it."""
    contained = (*allergens, *(code for code, answer in answers.items() if answer == CONTAINS))
    unchecked = tuple(code for code in _ALLERGENS if code not in contained and code not in answers)
    return Held(name, row, contained, unchecked)


#: A source has at least so many words, and letters; own choice: no name of a person or laboratory with what it found is
#: shorter.
SOURCE_WORDS: Final = 2
SOURCE_CHARACTERS: Final = 12
_WORD: Final = re.compile(r"[^\W\d_]+(?:['’-][^\W\d_]+)*")


#: What a source without any figure names: a laboratory, a law or an authority; own list, not whole.
_PROOF: Final = re.compile(
    r"\b(lab|labs|laborator\w*|labor|laboratoire|authorit\w*|agenc\w*|department|ministry|inspect\w*|official\w*"
    r"|health|council|county|university|institute|code|law|act|regulation\w*|ordinance|standard\w*|fda|usda|efsa"
    r"|behorde|gesundheitsamt|veterinaramt|verordnung|gesetz|gutachten|certificat\w*|zertifikat)\b",
    re.IGNORECASE,
)


def names_a_source(text: str) -> bool:
    """Return whether some words can say who says so and by what, and are not only "me", "n/a" or "my own experience".

    They have a date or a value, or name a laboratory, a law or an authority.
    """
    words = _WORD.findall(text)
    plain = "".join(each for each in unicodedata.normalize("NFKD", text) if not unicodedata.combining(each))
    proof = any(map(str.isdigit, text)) or _PROOF.search(plain) is not None
    return proof and len(words) >= SOURCE_WORDS and sum(map(str.isalpha, text)) >= SOURCE_CHARACTERS


#: What is held by recipes that are ticked without a source, by code.
_KNOWN: KnownByBook[str, tuple[str, ...]] = KnownByBook()


def unsourced(recipe: Recipe, book: Book) -> tuple[str, ...]:
    """Return what asks for the cold in a recipe that is ticked as safe at room temperature without a source.

    What is no source (``names_a_source``) counts as none.

    Empty where nothing does, where there is a source, and where it is not ticked.
    """
    if not recipe.shelf_stable or names_a_source(recipe.shelf_stable_source):
        return ()
    known = _KNOWN.of(book)
    if recipe.code not in known:
        known[recipe.code] = held_or_unchecked(parts_of([recipe.code], book))
    return known[recipe.code]


def claim_to_confirm(ticked: bool, source: str) -> bool:
    """Return whether a source is on record that a recipe is safe at room temperature, and does not count."""
    return bool(source.strip()) and not ticked


def room_safe(recipe: Recipe, book: Book) -> bool:
    """Return whether a recipe counts as safe at room temperature: ticked, and with a source where it takes one."""
    return recipe.shelf_stable and not unsourced(recipe, book)


def all_room_safe(codes: Iterable[str], book: Book) -> bool:
    """Return whether all of some recipes count as safe at room temperature."""
    return all(room_safe(book.recipe(code), book) for code in codes)


def recipe_room_safe(code: str, book: Book) -> bool:
    """Return whether the Book has a recipe of this code that counts as safe at room temperature."""
    return any(recipe.code == code and room_safe(recipe, book) for recipe in book.recipes)


def product_room_safe(code: str, book: Book) -> bool:
    """Return whether the Book has a product of this code, all of whose fill counts as safe at room temperature."""
    found = next((product for product in book.products if product.code == code), None)
    return found is not None and bool(found.fill) and all_room_safe((fill.recipe for fill in found.fill), book)


def stored_perishables(recipe_id: int, name: str) -> tuple[str, ...]:
    """Return what asks for the cold in a recipe as it is stored, whether or not the Book can be read; one query."""
    columns = ("recipe_id", "component_id", "component__name", "ingredient__name", "ingredient__ndb")
    answers = ("ingredient__allergens", "ingredient__allergen_answers")
    lines: dict[int, list[tuple[int | None, Held]]] = defaultdict(list)
    for user, used, inside, bought, row, allergens, answered in RecipeLine.objects.values_list(*columns, *answers):
        part = Held(inside) if used else _bought(bought, row or "", allergens or (), answered or {})
        lines[user].append((used, part))
    met, left, found = set[int](), [recipe_id], [Held(name)]
    while left:
        pk = left.pop()
        if pk not in met:
            met.add(pk)
            found += [part for _, part in lines[pk]]
            left += [used for used, _ in lines[pk] if used]
    return held_or_unchecked(found)
