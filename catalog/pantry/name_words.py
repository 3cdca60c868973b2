"""What a name or a text speaks of among allergens, however it is written: joined, in the plural, in another language.

A word counts wherever it stands inside a longer one ("Erdnusscreme", "peanutbrittle"), in seven languages and a few
words of others. It says nothing of what is in something: whoever reads it is asked.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from catalog.pantry.allergens import covered
from catalog.pantry.near_words import one_off
from catalog.pantry.plain_text import folded as folded

#: Allergen or group -> its words without accents, as a pattern each; ``\b`` where a short word is a part of others.
_WORDS: Final[Mapping[str, str]] = {
    "peanuts": r"pea[\s-]?nut|\bp[\s-]?nuts?\b|peenut|ground[\s-]?nut|monkey[\s-]?nut|erdnu(?:ss|e[sz]s|t)|cacahu[ea]t"
    r"|arachid|amendoim|\bpinda"
    r"|\bmani\b|арахис|花生|ピーナッツ|땅콩",
    "hazelnuts": r"hazel[\s-]?nut|haselnu(?:ss|ess)|\bnoisette|avellana|nocciol|\bavela|hazelno[ot]|filbert"
    r"|gianduj?i?a|фундук|榛",
    "almonds": r"almond|mandel(?!a\b)|amandel|\bamande|almendra|mandorl|amendoa|marzipan|frangipan|amarett|миндал|杏仁",
    "walnuts": r"wal[\s-]?nu(?:t|ss|ess)|walno[ot]|\bnogal|грецк|核桃",
    "cashews": r"cashew|anacard|\bcaju\b|кешью|腰果",
    "pecans": r"\bpecan|pekan",
    "pistachios": r"pista(?:ch|z|cc|x)|фисташ|开心果",
    "macadamias": r"ma[ck]adami",
    "brazil-nuts": r"brazil[\s-]?nut|paranu(?:ss|ess)|paranoot",
    "pine-nuts": r"pine[\s-]?nut|pinienkern|\bpigno[nl]|\bpinol",
    "tree-nuts": r"(?<!\bp[\s-])\bnut[sz]?\b(?![\s-]+(?:meg|brown))"
    r"|(?<!\bp)(?<!\bp[\s-])(?<!pea)(?<!butter)(?<!chest)(?<!coco)(?<!dough)(?<!do)(?<!mi)nuts\b"
    r"|\bnutty\b|(?<!kokos)(?<!muskat)(?<!erd)(?<!hasel)(?<!wal)(?<!para)nu(?:ss|ess)(?!kat)"
    r"|\bnoix\b(?!\s+de\s+(?:coco|muscade))"
    r"|\bnue[zc]|\bnoci\b|\bnozes?\b|\bnoten\b|frutos?\s+secos|frutta\s+a\s+guscio|fruits?\s+a\s+coque|pralin"
    r"|nougat|torrone|орех|坚果",
    "sesame": r"see?sam|ajonjoli|tahin|\bhalv?wa?\b|\bhalva|gomasio|кунжут|芝麻",
    "soybeans": r"\bsoy|\bsoja|\bsoia|\btofu|edamame|\bmiso\b|\bсо[ея]|大豆",
    "milk": r"(?<!coconut\s)(?<!oat\s)(?<!almond\s)(?<!soy\s)(?<!soya\s)(?<!rice\s)(?<!plant\s)milk(?!y|\s+thistle)"
    r"|(?<!kokos)(?<!hafer)(?<!mandel)"
    r"milch|\bmelk|\blait|\bleche|\blatte\b|lattic|\bleite|la[ck]tos|\bdairy"
    r"|\bdair(?:ies|ry|iy)\b|\bda(?:r|yr|i)y\b|\bdiary[\s-]+(?:free|allerg|intoleran|product)"
    r"|(?<!cocoa\s)(?<!nut\s)(?<!peanut\s)(?<!almond\s)(?<!shea\s)(?<!apple\s)"
    r"(?<!hazelnut\s)(?<!pistachio\s)(?<!kakao)butter(?!nut|scotch|fly|cup)"
    r"|(?<!coconut\s)\bcream(?!\s+of\s+tartar)|buttercream|\bcreme\b|\bsahne|\brahm\b|mascarpone|ricotta"
    r"|yogh?urt|jogh?urt|\bquark\b"
    r"|cheese|kase\b|kaese|fromage|\bqueso|formaggi|\bbeurre|mantequilla|\bboter\b|\bghee\b|\bwhey\b|[ck]asein"
    r"|молок|牛奶",
    "eggs": r"\beggs?\b|\beggnog|\beier|\bei\b(?!\s+(?:voi|saa|syo|ole|sovi|sieda|kesta))"
    r"|huevo|\buov[ao]|\bovos?\b|\boeuf|mayonnais|яйц|яиц|鸡蛋",
    "wheat": r"(?<!buck)wheat|(?<!buch)weizen|\btarwe|\btrigo|frumento|\bspelt\b|\bdinkel|semolina|\bdurum"
    r"|bulgur|couscous|пшениц|小麦",
    "rye": r"\brye\b|roggen|\bseigle|centeno|segale",
    "barley": r"barley|\bgerste|\borge\b|cebada|\borzo\b|\bmalt\b",
    "oats": r"\boats?\b|\boatmeal|\bhafer|\bavoine|\bavena|\baveia",
    "gluten": r"gl[uo]ten|glutine|c(?:o?e|oe)lia[cq]|celia[cq]|celiach|\bzoe?li(?:s|akie)?\b|zoe?liakie"
    r"|coeliak|глютен|麸质",
    "fish": r"\bfish|\bfisch|poisson|pescado|\bpesce\b|\bpeixe|anchov|\bsalmon\b|\btuna\b|рыб",
    "crustaceans": r"s?hell?[\s-]?fish|shelfish|schalentier|meeresfru?e?cht|fruits?\s+de\s+mer|frutt[oi]\s+di\s+mare"
    r"|\bmariscos?\b|\bzeevrucht|\bschaaldier|\bsea\s?food\b|crusta[cz]|\bshrimp|\bprawn|\bcrabs?\b|lobster|krebstier"
    r"|garnele|crevette|\bgamba",
    "molluscs": r"mollus|\bmussel|oyster|\bclams?\b|\bsquid|octopus|scallop",
    "celery": r"celer[yi]|sellerie|\bapio\b|сельдере",
    "mustard": r"mustard|\bsenf|moutarde|mostaza|\bsenape|mosterd|горчиц",
    "sulphites": r"sul(?:ph|f)it",
    "lupin": r"\blupin",
}
_READ: Final = {code: re.compile(words) for code, words in _WORDS.items()}
#: Words that are often misspelt -> the allergen; no everyday word is one letter away from any of them.
_SPELT: Final[Mapping[str, str]] = {
    **{word: f"{word}s" for word in ("peanut", "hazelnut", "almond", "walnut", "cashew", "pistachio", "macadamia")},
    **dict.fromkeys(("coeliac", "celiac", "gluten"), "gluten"),
    "shellfish": "crustaceans",
    **dict.fromkeys(("lactose", "cheese", "yogurt", "yoghurt", "mascarpone", "ricotta", "buttermilk"), "milk"),
    **dict.fromkeys(("sesame", "tahini"), "sesame"),
    **dict.fromkeys(("marzipan", "frangipane"), "almonds"),
    "praline": "tree-nuts",
    **dict.fromkeys(("sulphite", "sulfite"), "sulphites"),
    "shrimp": "crustaceans",
    "semolina": "wheat",
    "soybean": "soybeans",
    "celery": "celery",
}
#: What stands before a milk or a cream that is made of a plant, with one word between at most.
_OF_PLANTS: Final = re.compile(r"\b(?:coconut|oat|soya?|rice|plant|almond|cashew|vegan)[\s-]+(?:[\w-]+\s+)?$")
_WORD: Final = re.compile(r"[^\W\d_]{5,}")
#: Words of an allergy or somebody's need, without saying of what.
_ANY_NEED: Final = re.compile(r"allerg|alerg|intol[le]?eran|unvertraglich|unvertraeglich|anaphyla|аллерг|过敏")


@dataclass(frozen=True, slots=True)
class Spoken:
    """A word of an allergen: its code, and where in the folded text it stands."""

    code: str
    start: int
    end: int


def spoken_in(text: str) -> Iterator[Spoken]:
    """Find the words of allergens in a text, in any of the languages."""
    plain, read = folded(text), set[int]()
    for code, words in _READ.items():
        for match in words.finditer(plain):
            if code == "milk" and _OF_PLANTS.search(plain[max(0, match.start() - 40) : match.start()]):
                continue
            read |= {*range(match.start(), match.end())}
            yield Spoken(code, match.start(), match.end())
    for match in _WORD.finditer(plain):
        meant = None if match.start() in read else _meant(match[0])
        if meant is not None:
            yield Spoken(meant, match.start(), match.end())


@lru_cache(maxsize=4096)
def _meant(word: str) -> str | None:
    """Return the allergen that a misspelt word may mean: one letter more, less, changed, or two in turn."""
    for right, code in _SPELT.items():
        if abs(len(word.removesuffix("s")) - len(right)) < 2 and one_off(word.removesuffix("s"), right):
            return code
    return None


def allergens_named(text: str) -> tuple[str, ...]:
    """Return the allergens a text speaks of, in the order of the list; not a group where one of it is named."""
    found = dict.fromkeys(one.code for one in spoken_in(text))
    return tuple(code for code in found if not any(covered(other) < covered(code) for other in found))


def speaks_of_allergies(text: str) -> bool:
    """Return whether a text speaks of an allergy at all."""
    return _ANY_NEED.search(folded(text)) is not None
