"""Whether the name of something that is said never to touch food speaks of food: an edible wafer cup, a cone."""

import re
from typing import Final

from catalog.pantry.diets import named_facts
from catalog.pantry.kind_words import foods_named
from catalog.pantry.name_words import folded

#: Words of what is eaten, whatever it is a cup or a sheet of. Without accents; common practice, no source.
_EATEN: Final = re.compile(
    r"\bedible|\beatable|\bessbar|esspapier|\bcomestible|\bcommestibil|\beetbaar|\bcomestivel|\bwafers?\b|wafel|waffel|waffle|\bcones?\b"
    r"|oblate|rice\s+paper|wafer\s+paper|sugar\s+paper|icing\s+sheet|zuckerdekor|zuckerblum|tortenaufleger|\bgaufre|barquillo|\bcialda"
    r"|sugar\s+(?:flower|rose|pearl)|fondant|marzipan|chocolate\s+(?:cup|shell|plaque|curl)|tartlet\s+shell|pastry\s+(?:shell|case)"
    r"|luster\s+dust|lustre\s+dust|gold\s+leaf|sprinkles?\b|\bfood\s+colou?r"
)
#: Words of packaging: beside one of them another food is only what goes into it. Common practice, no source.
_PACKAGING: Final = re.compile(
    r"box|\btins?\b|\bbags?\b|ribbon|label|sticker|carton|karton|\bboards?\b|tray|sleeve|liner|wrapper|wrap\b|foil|folie|\blids?\b|dome"
    r"|\bjars?\b|bottle|\bpots?\b|tissue|\btags?\b|twine|crate|drum\b|\bcases?\b|schachtel|\bdosen?\b|beutel|etikett|boite|ruban|scatol"
    r"|nastro|caja|cinta|doos|zak\b|lint\b|paper\b|papier|\bcups?\b|becher|stand\b|insert"
)


def is_packaging(name: str) -> bool:
    """Return whether a name is of something to pack in or to tie with."""
    return _PACKAGING.search(folded(name)) is not None


def is_packing_word(word: str) -> bool:
    """Return whether one word in small letters is wholly of packaging, in the plural too."""
    forms = (word, word.removesuffix("s"), word.removesuffix("es"))
    return any(_PACKAGING.fullmatch(form) for form in forms)


def speaks_of_food(name: str) -> bool:
    """Return whether a name is of something to eat; a cookie tin is none, an edible cup is."""
    plain = folded(name)
    if _EATEN.search(plain):
        return True
    named = foods_named(name) or any(named_facts(name))
    return bool(named) and _PACKAGING.search(plain) is None
