"""What the kitchen writes to one customer, and somebody reads before it goes: all of it where a guest has a need.

What certainly claims is refused (`claims.py`). Where nobody is known to have a need, the net behind it asks about
sentences that say that something is fine, in six languages: it takes too much rather than too little, and concludes
nothing.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from catalog.book.selectors import book_unpriced
from catalog.kitchen.selectors import kitchen
from catalog.pantry.declarations import Declaration, Serves, answer_to
from catalog.pantry.name_words import folded
from catalog.pantry.plain_text import SENTENCE_END, plain_text
from catalog.products.spoken import unborne
from catalog.records.errors import CannotPrice
from catalog.records.versions import version_mark
from orders.inquiries.models import Inquiry
from orders.quotes.draft.claims import JOINING, guests_needs
from orders.quotes.draft.dessert_table import table_of
from orders.quotes.draft.message_answers import message_waits
from orders.quotes.draft.spoken_of import table_declared
from orders.quotes.models import Quote
from orders.records.need_errors import OwnTextUnread, TextUnread

#: Words that say so, in small letters without accents.
_FINE: Final = re.compile(
    r"\b(?:fine|safe|ok|okay|all\s+right|alright|good|great|perfect|harmless|suitable|suits?|works?\s+for|no\s+(?:problems?|issues?|troubles?"
    r"|worr(?:y|ies)|danger|risk)|not\s+an?\s+(?:problem|issue)|(?:can|may|could)\s+(?:\w+\s+){0,2}(?:eat|have|enjoy|try|taste|tuck\s+in|dig\s+in)|worry"
    r"|rest\s+assured|off\s+the\s+menu|stays?\s+(?:well\s+)?(?:away|out)|free\s+(?:from|of)\s+(?:all|every)|all\s+(?:the\s+)?(?:\d+|nine|fourteen)\s+majors?|brak"
    r"|geeignet|unbedenklich|ungefahrlich|harmlos|sicher|kein(?:e|en)?\s+(?:problem|sorgen?|gefahr|thema)|in\s+ordnung|passt|vertragt"
    r"|vertraglich|(?:kann|darf|konnen|durfen)\b[^.!?]{0,40}\bessen|convien\w*|sans\s+(?:danger|risque|souci|probleme)"
    r"|pas\s+de\s+(?:souci|probleme|danger)|peu(?:t|vent)\b[^.!?]{0,40}\bmanger|adapte\w*|va(?:nno)?\s+bene|nessun\s+problema"
    r"|(?:puo|possono)\b[^.!?]{0,40}\bmangiare|adatt[oaie]|sicur[oaie]|pued\w+\b[^.!?]{0,40}\bcomer|sin\s+(?:problemas?|peligro)"
    r"|ningun\s+problema|apt[oa]s?|segur[oa]s?|(?:esta|va)\s+bien|geschikt|veilig|geen\s+probleem|prima"
    r"|(?:kan|mag|kunnen|mogen)\b[^.!?]{0,40}\beten)\b"
)
#: Those of them that promise even where nobody is known to have a need; what greets or thanks is none.
_PROMISES: Final = re.compile(
    r"\b(?:safe|harmless|suitable|no\s+(?:danger|risk)|worry\s+about|far\s+from|nowhere\s+near|rest\s+assured"
    r"|(?:can|may|could)\s+(?:\w+\s+){0,2}(?:eat|taste|tuck\s+in|dig\s+in)"
    r"|(?:she|he|they|guests?|everyone|everybody|anyone|anybody|all\s+of\s+(?:you|them))\s+(?:can|may|could)\s+(?:\w+\s+){0,2}(?:have|enjoy|try)"
    r"|geeignet|unbedenklich|ungefahrlich|harmlos|vertragt|vertraglich|(?:kann|darf|konnen|durfen)\b[^.!?]{0,40}\bessen|convien\w*"
    r"|sans\s+(?:danger|risque)|pas\s+de\s+danger|peu(?:t|vent)\b[^.!?]{0,40}\bmanger|(?:puo|possono)\b[^.!?]{0,40}\bmangiare"
    r"|pued\w+\b[^.!?]{0,40}\bcomer|sin\s+peligro|geschikt|veilig|(?:kan|mag|kunnen|mogen)\b[^.!?]{0,40}\beten)\b"
)
#: What stands for what is eaten, or for eating.
_FOOD: Final = re.compile(
    r"\b(?:bak(?:e|es|ed|ers?|ing)|it|this|that|these|those|they|all|both|each|any\w*|every\w*|kitchen|brak|nothing|ones?|desserts?|cakes?|tarts?|food|eat\w*|menu|table"
    r"|recipe\w*|alles|alle|das|davon|diese[rsn]?|torten?|kuchen|speisen?|essen|tout\w*|cela|ca|ceci|gateaux?|manger|tutt[oi]|quest[oaie]"
    r"|dolc[ei]|mangiare|tod[oa]s?|est[oae]s?|tartas?|postres?|comer|dit|deze|taart\w*|eten)\b"
)
#: Words by which a sentence warns: it names what is in something.
_WARNS: Final = re.compile(
    r"\b(?:has|(?<!can )(?<!may )(?<!could )have|contains?|holds?|enthal\w+|contien\w+|bevat\w*)\b"
    r"(?!\s+(?:no|not|never|n't|kein\w*|pas|geen)\b)"
    r"|\bnot\s+(?:for|suitable|safe|fine)\b"
)

#: What each dessert declares, by name.
_Table = Sequence[tuple[str, Declaration]]


@dataclass(frozen=True, slots=True)
class FineWords:
    """A sentence to the customer, the needs it may speak of, and the desserts that do not serve one of them.

    ``whole`` tells that it is all that was written: ``guests`` are then the needs with their numbers of guests, and
    ``note`` the note about them.
    """

    text: str
    codes: tuple[str, ...]
    dishes: tuple[str, ...]
    whole: bool = False
    guests: tuple[tuple[str, int | None], ...] = ()
    note: str = ""

    @property
    def mark(self) -> str:
        """A mark of all of it: whoever ticks it has read just this."""
        return version_mark([self.text, *self.codes, *self.dishes, *self.guests, self.note])


def fine_sentences(text: str, quote: Quote) -> tuple[FineWords, ...]:
    """Return what is to be read of words to a customer: all at once where a guest has a need (:func:`to_read_of`).

    So it is while nobody has stated what a message of theirs says of the list: nothing in it may be recognized.
    A sentence that names a dessert is held to that one, any other to the whole table.
    """
    if not text.strip():
        return ()
    needs, table, waits = guests_needs(quote.inquiry), table_of(quote), message_waits(quote.inquiry)
    try:
        book = book_unpriced(line.code for line in table.lines)
    except CannotPrice:
        return to_read_of(text, quote.inquiry, needs, (), waits=waits)
    found = fine_beside(text, table_declared(table, book), needs, kitchen().allergen_list)
    return to_read_of(text, quote.inquiry, needs, found, waits=waits)


def to_read_of(
    text: str, inquiry: Inquiry, needs: Sequence[str], found: Sequence[FineWords], *, waits: bool = False
) -> tuple[FineWords, ...]:
    """Return a whole text where guests of an inquiry have ``needs``, or a note speaks of some; else ``found`` of it.

    ``found`` are its sentences that may say what guests can eat. A message of theirs that ``waits`` counts as a note.
    """
    note = "" if inquiry.asked_none else inquiry.allergy_note.strip()
    if not (text.strip() and (needs or note or waits)):
        return tuple(found)
    guests = tuple((code, inquiry.need_counts.get(code)) for code in needs)
    codes, dishes = (tuple(dict.fromkeys(each)) for each in _joined(found))
    return (FineWords(text.strip(), codes, dishes, True, guests, note),)


def _joined(found: Sequence[FineWords]) -> tuple[list[str], list[str]]:
    return [code for one in found for code in one.codes], [name for one in found for name in one.dishes]


def fine_beside(text: str, declared: _Table, needs: Sequence[str], which: str) -> tuple[FineWords, ...]:
    """Return the same of a text beside what a table's desserts declare, and the needs of its guests; no query.

    ``which`` is the kitchen's list of allergens.
    """
    return tuple(dict.fromkeys(_found(text, declared, needs, which)))


def fine_for_everyone(text: str) -> tuple[FineWords, ...]:
    """Return the sentences of a text to every customer that may say that something is for guests."""
    return tuple(dict.fromkeys(FineWords(one, (), ()) for one in _sentences(text) if _says_fine(one, (), _FINE)))


def check_fine(text: str, quote: Quote, read: Sequence[str], *, place: str = "text") -> None:
    """Refuse words to a customer that nobody has read, where guests have needs or a sentence may say what is for them.

    ``place`` is the field they were written in.

    Raises OwnTextUnread, TextUnread.
    """
    for one in fine_sentences(text, quote):
        if one.mark not in read:
            raise (OwnTextUnread if one.whole else TextUnread)(place=place, text=one.text[:240])


def _sentences(text: str) -> list[str]:
    return [one.strip() for one in SENTENCE_END.split(plain_text(text)) if one.strip()]


def _found(
    text: str, table: Sequence[tuple[str, Declaration]], needs: Sequence[str], which: str
) -> Iterator[FineWords]:
    for sentence in _sentences(text):
        named = _named(sentence, table)
        if (promise := _promise(sentence, named, table, needs, which)) is not None:
            yield promise
            continue
        if not _WARNS.search(folded(sentence)):
            for one in unborne(sentence, named or table, which):
                yield FineWords(one.text, one.codes, one.dishes)


def _promise(sentence: str, named: _Table, table: _Table, needs: Sequence[str], which: str) -> FineWords | None:
    """Return what a sentence may promise of some food; where nobody is known to have a need, of every allergen."""
    if not (_says_fine(sentence, named, _PROMISES) or (needs and _says_fine(sentence, named, _FINE))):
        return None
    if not needs:
        dishes = tuple(name for name, one in named or table if not _free_of_all(one))
        return FineWords(sentence, (), dishes) if dishes else None
    against = {
        name: [code for code in needs if answer_to(code, one, which).serves != Serves.FREE]
        for name, one in named or table
    }
    codes = dict.fromkeys(code for found in against.values() for code in found)
    dishes = tuple(name for name, found in against.items() if found)
    return FineWords(sentence, tuple(codes), dishes) if codes else None


def _free_of_all(one: Declaration) -> bool:
    return not (one.allergens or one.may_allergens or one.unchecked_allergens)


def _says_fine(sentence: str, named: _Table, words: re.Pattern[str]) -> bool:
    plain = folded(sentence)
    return words.search(plain) is not None and not _WARNS.search(plain) and bool(named or _FOOD.search(plain))


def _named(sentence: str, table: Sequence[tuple[str, Declaration]]) -> list[tuple[str, Declaration]]:
    """Return what of a table a sentence names by a word of its name."""
    words = set(re.findall(r"\w{4,}", folded(sentence))) - JOINING
    return [(name, one) for name, one in table if words & set(re.findall(r"\w{4,}", folded(name)))]
