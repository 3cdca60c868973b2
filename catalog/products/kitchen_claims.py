"""What the kitchen's own words claim, those about traces above all, against every ingredient and packaging it has."""

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from catalog.kitchen.models import Kitchen
from catalog.pantry.declarations import Declaration, Serves, declared, declared_of
from catalog.pantry.models import Ingredient
from catalog.products.claim_words import DIET_WORDS
from catalog.products.claims import claim_answer, claims_in, claims_meant
from catalog.records.errors import WordsUnproven
from costing.contract import Book
from costing.requirements.compiled_book import compile_book

#: Something the kitchen has, by name, and what it declares.
Declared = tuple[str, Declaration]


@dataclass(frozen=True, slots=True)
class KitchenClaim:
    """Words that claim to be free of something, and what of the kitchen's contains it, may contain it, is unchecked."""

    words: str
    contains: tuple[str, ...] = ()
    may: tuple[str, ...] = ()
    unchecked: tuple[str, ...] = ()


def kitchen_claims(
    text: str, which: str, found: Iterable[Declared], *, diets: bool = False, guests: Collection[str] = ()
) -> tuple[KitchenClaim, ...]:
    """Return the claims of a text that something of the kitchen does not bear out.

    The bare word of a diet is no claim of traces, and counts only with ``diets``. ``guests`` are the needs of those who
    read it: "fine for your guest" promises to serve these.
    """
    every = list(found)
    claims: dict[str, dict[Serves, dict[str, None]]] = {}
    for claim in (meant for one in claims_in(text) for meant in claims_meant(one, guests)):
        if DIET_WORDS.fullmatch(claim.words) and not diets:
            continue
        for name, declaration in every:
            serves = claim_answer(claim, declaration, which).serves
            if serves != Serves.FREE:
                claims.setdefault(claim.words, {}).setdefault(serves, {})[name] = None
    return tuple(
        KitchenClaim(
            words,
            tuple(by_answer.get(Serves.CONTAINS, ())),
            tuple(by_answer.get(Serves.MAY_CONTAIN, ())),
            tuple(by_answer.get(Serves.NOT_CHECKED, ())),
        )
        for words, by_answer in claims.items()
    )


#: Columns of the profile whose words customers read as they are, on quotes, in mails and on invoices.
WORDS_READ: Final = ("name", "cross_contact", "approve_button", "payment_details", "tax_note", "time_out_source")


def check_words(kitchen: Kitchen) -> None:
    """Refuse words of a kitchen's profile that its own ingredients do not bear out, by the rows as saved.

    Raises WordsUnproven.
    """
    for place in (*WORDS_READ, "cancellation_terms"):
        text = getattr(kitchen, place)
        if any(claims_in(text)) and (claims := kitchen_claims(text, kitchen.allergen_list, _rows(kitchen))):
            raise WordsUnproven(place=place, claims=claims)


def _rows(kitchen: Kitchen) -> Iterable[Declared]:
    return ((row.name, found) for row, found in ingredients_declared(kitchen))


def ingredients_declared(kitchen: Kitchen) -> Iterator[tuple[Ingredient, Declaration]]:
    """Return the ingredients that are used, each with what it declares; two queries."""
    rows = Ingredient.objects.all()
    in_recipes = set(rows.filter(recipe_lines__isnull=False).values_list("pk", flat=True))
    for row in rows:
        if row.active or row.pk in in_recipes:
            touches = row.touches_food or row.pk in in_recipes
            yield row, declared(row.allergens, row.allergen_answers, kitchen.allergen_list, touches=touches)


def words_unproven(
    text: str, book: Book, extras: Sequence[Declared] = (), *, guests: Collection[str] = ()
) -> tuple[KitchenClaim, ...]:
    """Return the claims that an ingredient of a Book, or something else that is sold beside, does not bear out."""
    which = book.kitchen.described.allergen_list
    return kitchen_claims(text, which, [*_of_book(book, which), *extras], guests=guests) if text else ()


def _of_book(book: Book, which: str) -> Iterable[Declared]:
    used = {line.ingredient for recipe in compile_book(book).recipes for line in recipe.lines if line.ingredient}
    for one in book.ingredients:
        if one.active or one.code in used:
            yield one.name, declared_of(one, which, in_recipe=one.code in used)
