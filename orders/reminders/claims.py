"""What the owner's texts of reminders claim or may say of what guests can eat: every customer reads them.

The same nets as for replies, without a quote: what certainly claims is held against everything the kitchen has and
refused; what may speak of guests' food is asked about.
"""

from collections.abc import Sequence

from catalog.kitchen.selectors import kitchen
from catalog.products.claims import claims_in
from catalog.products.kitchen_claims import ingredients_declared, kitchen_claims
from catalog.products.spoken import unborne
from catalog.records.errors import WordsUnproven
from orders.quotes.draft.fine_words import FineWords, fine_for_everyone
from orders.records.need_errors import TextUnread


def check_text(text: str, *, place: str, read: Sequence[str]) -> None:
    """Refuse a text that claims what the kitchen does not bear out, or that nobody has read; ``place`` is its field.

    Raises
    ------
    WordsUnproven
        If it claims what an ingredient does not bear out.
    TextUnread
        If a sentence may speak of what guests can eat, and its mark is not among ``read``.
    """
    home = kitchen()
    every = [(row.name, found) for row, found in ingredients_declared(home)]
    if any(claims_in(text)) and (claims := kitchen_claims(text, home.allergen_list, every, diets=True)):
        raise WordsUnproven(place=place, claims=claims)
    for one in sentences_to_read(text):
        if one.mark not in read:
            raise TextUnread(place=place, text=one.text[:240])


def sentences_to_read(text: str) -> tuple[FineWords, ...]:
    """Return the sentences of a text that may say what guests can eat, each with the mark of who has read it."""
    home = kitchen()
    every = [(row.name, found) for row, found in ingredients_declared(home)]
    spoken = [FineWords(one.text, (), ()) for one in unborne(text, every, home.allergen_list, written_freely=True)]
    return tuple(dict.fromkeys([*fine_for_everyone(text), *spoken]))
