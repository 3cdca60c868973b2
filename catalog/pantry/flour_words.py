"""Flour that names no grain: it is wheat's in every kitchen, unless another grain, nut or seed stands beside it.

"White flour", "self-rising flour", "T55", "Mehl Type 405", "harina" are asked about wheat; "rice flour" and "farine de
riz" are not. Common practice, no source; all words are without accents, ß is ss.
"""

import re
from typing import Final

#: Another grain, nut, seed or root that flour is made of, in English: it stands before the word.
_OTHERS: Final = (
    r"rice|corn|maize|masa|buckwheat|almond|chickpea|chick[\s-]pea|gram|besan|oat|rye|barley|millet|sorghum|jowar|bajra|teff"
    r"|quinoa|amaranth|coconut|potato|tapioca|cassava|manioc|yuca|arrowroot|chestnut|hazelnut|walnut|pistachio|pecan"
    r"|cashew|peanut|pine[\s-]?nut|tiger[\s-]?nut|nut|soy|soya|soybean|lupin|lupine|pea|bean|fava|lentil|urad|banana"
    r"|plantain|carob|hemp|flax|flaxseed|linseed|sesame|sunflower|pumpkin[\s-]seed|grape[\s-]seed|acorn|cricket|fish|blood"
)
_SPARED: Final = re.compile(rf"\b(?:(?:{_OTHERS})s?\b(?![\s-]*free)|gl[uo]ten[\s-]*free\b)")
#: The same in French, Italian and Spanish, after the word.
_OTHERS_AFTER: Final = re.compile(
    r"\s+(?:de\s+|di\s+|d'\s?|del?\s+|della\s+|integrale\s+di\s+|integral\s+de\s+|complete\s+de\s+)*"
    r"(?:mais|maiz|riz|riso|arroz|coco|cocco|chataigne|castagn|castana|sarrasin|sarraceno|grano\s+saraceno|ble\s+noir"
    r"|trigo\s+sarraceno|alforfon|mandorl|amande|almendra|noisette|nocciol|avellana|ceci|pois\s+chiche|garbanzo|lentil"
    r"|avoine|avena|seigle|segale|centeno|orge\b|orzo\b|cebada|millet|miglio|mijo|sorgho|sorgo|teff|quinoa|soja|soia"
    r"|lupin|manioc|manioca|yuca|tapioca|patata|caroube|carrub|algarrob|pistach|pistacch|arachid|noix|noci\b|pesc)"
)
_ENGLISH: Final = re.compile(r"\bflours?\b")
_ROMANCE: Final = re.compile(r"\b(?:farines?|farin[ae]|harinas?)\b")
#: German and Dutch join the grain to the word: alone, or beside what says how it is milled, it is wheat's.
_GERMANIC: Final = re.compile(
    r"\b(?:weiss|vollkorn|kuchen|back|fein|spezial|universal|haushalts)?mehl\b(?!\s+(?:aus|von)\s+(?:reis|mais|mandel|hafer))"
    r"|\b(?:patent|gebaks|cake)?bloem\b|\b(?:zelfrijzend\s+)?(?:bak|volkoren)?meel\b"
)
#: How fine wheat is milled, by the numbers of its types; a sack often says no more.
_TYPES: Final = re.compile(
    r"\bt\s?-?(?:45|55|65|80|110|150)\b|\b(?:type|typ|tipo)\s?-?(?:00|0|1|2|45|55|65|80|110|150|405|480|550|700|812|1050|1600)\b"
    r"|\bw\s?(?:480|700|1600)\b|(?<![\d.,])00(?![\d.,])"
)
_APART: Final = re.compile(r"[,;.\n()/]|\b(?:and|und|et|plus|with)\b|[+&]")
#: Grains and nuts that German and Dutch names begin with: their types have numbers too.
_OTHERS_JOINED: Final = re.compile(
    r"roggen|\brogge|\bmais|\breis|\brijst|mandel|amandel|hafer|\bhaver|buchweizen|boekweit"
)


def flour_of_wheat(plain: str) -> bool:
    """Return whether a folded text names flour, by its word or its type, and no other grain that it is made of."""
    return any(_in_part(part) for part in _APART.split(plain))


def _in_part(part: str) -> bool:
    if any(_SPARED.search(part[: match.start()]) is None for match in _ENGLISH.finditer(part)):
        return True
    if any(_OTHERS_AFTER.match(part, match.end()) is None for match in _ROMANCE.finditer(part)):
        return True
    if _GERMANIC.search(part):
        return True
    other = _SPARED.search(part) or _OTHERS_JOINED.search(part) or _ROMANCE.search(part)
    return _TYPES.search(part) is not None and other is None
