"""Recipes of which nobody stated whether they are hot while they are made, and that may well be.

Asked is where a word speaks of heat beside milk, egg, cream, gelatin or starch, where what goes together is made hot as
a rule, such as gelatin in cream (`made_hot`), and where a recipe of milk or egg waits
in the cold, by its own steps or by those of a product it goes into: both are what a boiled cream looks like whose steps
state no temperature. The answer is a leaving temperature at a step, or that it is never hot (`Recipe.never_hot`),
which a step called "Boil" contradicts. One temperature answers for no other step (`beside_heat`). A product's own step
that is called after heat is asked about as well. What may be hot and is not answered stops like what is hot and
unanswered: a batch taken for cold food has no limit to keep.
"""

import re
import unicodedata
from collections.abc import Iterator, Sequence
from itertools import takewhile
from typing import Final

from catalog.book.known import KnownByBook
from catalog.cooling.beside_heat import heat_beside, states_heat, steps_speak
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.stages import is_cold, station_of
from catalog.cooling.warm_parts import warm_lines
from catalog.cooling.warm_products import joins_of
from catalog.recipes.always_hot import made_hot
from catalog.recipes.cooked_words import bare_degrees, cooked_preparation, heat_source, ribbon_word
from catalog.recipes.heat_words import heat_word, hot_reading, step_heats, torching_word
from catalog.recipes.never_hot_words import heat_claimed_away
from catalog.recipes.no_heat import names_what_instead
from catalog.recipes.perishables import Held, all_room_safe, held_of, parts_of, perishables, room_safe
from catalog.records.reasons import Reason
from costing.contract import Book, Product, Recipe, Step

#: What it is that a word of heat is asked about beside milk, egg, cream, custard and gelatin: what thickens when hot.
_STARCH: Final = re.compile(
    r"\b((corn|potato|wheat|rice|maize)?[\s-]?starch(es)?|corn\s?flour|custard\spowder|arrowroot|tapioca|semolina"
    r"|\w*starke|\w*zetmeel|maizena|amidon|fecule|amido|fecola|almidon|fecula|maicena)\b",
    re.IGNORECASE,
)
#: Of these a wait in the cold is asked about without a word of heat.
_COLD_WAIT: Final = frozenset({"milk", "egg"})


def heat_question(recipe: Recipe, mixtures: RecipeMixtures) -> Reason | None:
    """Return why a recipe is asked about, whether it is hot or cold while it is made; None where it is not."""
    book = mixtures.book
    if states_heat(recipe):
        return _beside(recipe, book)
    if recipe.never_hot:
        return _contradicted(recipe, book) or _reason_missing(recipe, book)
    if room_safe(recipe, book) or warm_lines(recipe, mixtures):
        return None
    word = heat_word(_texts(recipe)) or hot_reading(_texts(recipe)) or _cooked_word(recipe, book)
    if word and asks_for_heat(list(parts_of([recipe.code], book))):
        return Reason("heat_in_words", {"part": recipe.name, "word": word, "more": _others_hot(recipe, book)})
    if made := _made_hot(recipe, book):
        return Reason(f"heat_{made}", {"part": recipe.name})
    if asked := _asked_if_ticked(recipe, book):
        return asked
    own = _own(recipe, book)
    if (_waits_cold(recipe, book) or recipe.code in _chilled_in_products(book)) and _COLD_WAIT & set(perishables(own)):
        return Reason("heat_unstated", {"part": recipe.name, "holds": perishables(own)})
    return None


def _asked_if_ticked(recipe: Recipe, book: Book) -> Reason | None:
    """Return what would be asked where the recipe were ticked as never hot: who says nothing is not asked less."""
    found = _contradicted(recipe, book)
    if found is not None:
        word = found.params.get("step", found.params.get("word"))
        return Reason("heat_in_words", {"part": recipe.name, "word": word, "more": found.params.get("more", [])})
    ruled = _cooked_as_a_rule(recipe, book)
    if ruled is None or ruled.code != "never_hot_starch":
        return None
    return Reason("heat_unstated", {"part": recipe.name, "holds": ruled.params["holds"]})


def _others_hot(recipe: Recipe, book: Book) -> list[str]:
    """Return the steps after the first one that speaks of heat which do so too."""
    degrees = book.kitchen.described.degrees
    speak = [
        str(step)
        for step in recipe.steps
        if heat_word((step.name, step.text)) or step_heats(step.name, step.text, degrees)
    ]
    return speak[1:]


def _own(recipe: Recipe, book: Book) -> list[Held]:
    return [held_of(book.ingredient(line.ingredient)) for line in recipe.lines if line.ingredient is not None]


def asks_for_heat(within: Sequence[Held]) -> bool:
    """Return whether it matters if something is hot while it is made: milk, egg, cream, gelatin or starch is in it."""
    return bool(perishables(within)) or any(map(_is_starch, within))


def _beside(recipe: Recipe, book: Book) -> Reason | None:
    """Return that a step speaks of heat beside one that states it; None where that can make nobody ill."""
    if room_safe(recipe, book) or not asks_for_heat(list(parts_of([recipe.code], book))):
        return None
    return heat_beside(recipe, book, list(_ready_made(recipe, book)))


def _contradicted(recipe: Recipe, book: Book) -> Reason | None:
    """Return that a step or the note speaks of heat, where the recipe is ticked as never hot; None where none does.

    It does by a word, a temperature or a heat source, or by a flame over it (`heat_claimed_away`).
    """
    if room_safe(recipe, book):
        return None
    degrees, ready = book.kitchen.described.degrees, list(_ready_made(recipe, book))
    if not asks_for_heat(list(parts_of([recipe.code], book))):
        return None
    # A temperature of its own says more than its name.
    speak = [
        step.name
        for step in recipe.steps
        if step.temperature_c is None
        and (heat_claimed_away(step.name, [step.text], degrees, ready) or _ribbon(recipe, book, step))
    ]
    if asked := steps_speak("never_hot_contradicted", "part", recipe.name, speak):
        return asked
    if word := heat_claimed_away("", [recipe.note], degrees, ready):
        return Reason("never_hot_note", {"part": recipe.name, "word": word})
    return None


def product_heat_question(product: Product, mixtures: RecipeMixtures) -> Reason | None:
    """Return that a product's own step speaks of heat and nothing states it; None where none does.

    A flame over the surface is asked about where what is in it is marked as never hot.
    """
    book = mixtures.book
    codes = [fill.recipe for fill in product.fill]
    if all_room_safe(codes, book):
        return None
    never = any(book.recipe(code).never_hot for code in codes)
    speak = [str(each) for each in _unstated(product, book) if _speaks(each, book, never=never)]
    if not speak or not asks_for_heat(list(parts_of(codes, book))):
        return None
    return steps_speak("heat_in_step", "product", product.name, speak)


def _reason_missing(recipe: Recipe, book: Book) -> Reason | None:
    """Return that nobody says what is used instead of cooking in what is cooked as a rule; None where none has to."""
    found = _cooked_as_a_rule(recipe, book)
    if found is None or names_what_instead(recipe.never_hot_reason, _ready_made(recipe, book)):
        return None
    return found


def _cooked_as_a_rule(recipe: Recipe, book: Book) -> Reason | None:
    """Return by what a recipe that states no heat is cooked as a rule: what goes in, or its name."""
    if room_safe(recipe, book):
        return None
    if made := _made_hot(recipe, book):
        return Reason(f"never_hot_{made}", {"part": recipe.name})
    within = list(parts_of([recipe.code], book))
    starch, held = any(map(_is_starch, within)), perishables(within)
    if not (starch or held):
        return None
    word = cooked_preparation(_texts(recipe), but=_ready_made(recipe, book))
    if word:
        return Reason("never_hot_named", {"part": recipe.name, "word": word})
    own = _own(recipe, book)
    thickened = _COLD_WAIT & set(perishables(own)) and any(map(_is_starch, own))
    return Reason("never_hot_starch", {"part": recipe.name, "holds": perishables(own)}) if thickened else None


def _made_hot(recipe: Recipe, book: Book) -> str | None:
    """Return which combination it is that is made hot as a rule; a syrup only beside what asks for the cold."""
    found = made_hot(_ready_made(recipe, book), [text for step in recipe.steps for text in (step.name, step.text)])
    return None if found == "syrup" and not perishables(parts_of([recipe.code], book)) else found


def _ribbon(recipe: Recipe, book: Book, *steps: Step) -> str:
    """Return the word for the ribbon of whisked egg in some steps of a recipe that holds egg; empty without."""
    word = ribbon_word(text for step in steps for text in (step.name, step.text))
    return word if word and "egg" in perishables(parts_of([recipe.code], book)) else ""


def _cooked_word(recipe: Recipe, book: Book) -> str:
    """Return how a recipe's words name a heat source, a bare temperature or a cooked preparation; empty without."""
    texts, degrees = list(_texts(recipe)), book.kitchen.described.degrees
    steps = [text for step in recipe.steps for text in (step.name, step.text)]
    return (
        heat_source(texts)
        or bare_degrees(steps, degrees)
        or _ribbon(recipe, book, *recipe.steps)
        or cooked_preparation(texts, but=_ready_made(recipe, book))
    )


def _ready_made(recipe: Recipe, book: Book) -> Iterator[str]:
    for line in recipe.lines:
        if line.recipe is not None:
            yield book.recipe(line.recipe).name
        elif line.ingredient is not None:
            yield book.ingredient(line.ingredient).name


def _speaks(step: Step, book: Book, *, never: bool) -> bool:
    found = step_heats(step.name, step.text, book.kitchen.described.degrees)
    return found or bool(never and torching_word(step.name))


def _unstated(product: Product, book: Book) -> Iterator[Step]:
    """Yield the steps that state no heat, nor does one after them before it gets cold."""
    for at, step in enumerate(product.steps):
        if step.heats or step.temperature_c is not None or is_cold(step, station_of(step, book)):
            continue
        rest = takewhile(lambda later: not is_cold(later, station_of(later, book)), product.steps[at:])
        if all(later.leaves_c is None for later in rest):
            yield step


def _texts(recipe: Recipe) -> Iterator[str]:
    for step in recipe.steps:
        yield step.name
        yield step.text
    yield recipe.name
    yield recipe.note


def _is_starch(part: Held) -> bool:
    plain = unicodedata.normalize("NFKD", part.name)
    return bool(_STARCH.search("".join(each for each in plain if not unicodedata.combining(each))))


def _waits_cold(recipe: Recipe, book: Book) -> bool:
    return any(is_cold(step, station_of(step, book)) for step in recipe.steps)


#: The recipes that wait in the cold by a product's steps.
_CHILLED: Final[KnownByBook[str, frozenset[str]]] = KnownByBook()


def _chilled_in_products(book: Book) -> frozenset[str]:
    """Return the codes of the recipes that go into a product and then into the cold, without any heat between."""
    known = _CHILLED.of(book)
    if "" not in known:
        known[""] = frozenset(code for product in book.products for code in _chilled_in(product, book))
    return known[""]


def _chilled_in(product: Product, book: Book) -> Iterator[str]:
    joins = joins_of(product)
    within: set[str] = set()
    for at, step in enumerate(product.steps):
        within |= set(joins.get(at, ()))
        if step.heats or step.leaves_c is not None:
            within.clear()
        elif is_cold(step, station_of(step, book)):
            yield from within
