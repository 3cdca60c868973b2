"""Foods that some guests cannot eat and no list of allergens has: how each is named, and names of what holds it.

Common foods alone, in English, German, French, Italian, Spanish and Dutch, without accents; common practice, no source,
and no list is complete: what is not here is a need all the same, by its own words. A name that holds a food is never
the only one: whatever does not name it was not checked.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Family:
    """How a food is named in small letters, and the names of what holds it."""

    named: re.Pattern[str]
    holds: re.Pattern[str]


_CITRUS: Final = (
    r"lemon(?!\s*(?:grass|balm))|zitrone|citron|\blimon|\blimes?\b|limette|limetta|orange|naranja|arancia|sinaasappel|grapefruit|pampelmuse|mandarin"
    r"|clementin|tangerine|bergamot|yuzu|kumquat|calamansi|cedrat|citrus|zitrus|agrum"
)
_NIGHTSHADES: Final = (
    r"tomat|pomodor|potato|kartoffel|patat[ae]|aubergine|eggplant|melanzan|paprika|\bchil+i|cayenne|bell\s+pepper|capsicum|goji"
    r"|nightshade|solanac|nachtschatten"
)
_LEGUMES: Final = (
    r"chick[\s-]?pea|\bpeas?\b|lentil|\bbeans?\b(?<!vanilla\sbean)(?<!vanilla\sbeans)(?<!cocoa\sbeans)(?<!coffee\sbeans)|adzuki|azuki"
    r"|\banko\b|mung|linse|kichererb|bohne|erbse|legume|pulses?\b|hulsenfr|carob|lupin|soy|soja|peanut"
)
_CHOCOLATE: Final = (
    r"chocolat|schokolad|cioccolat|chocola\b|cocoa|cacao|kakao|couverture|kuvertur|ganache|gianduja|brownie"
)
_BERRIES: Final = (
    r"berry\b|berries\b|beeren?\b|\bfraises?\b|\bfresas?\b|fragol|framboi[sz]|frambues|lampon|framboos|myrtille|mirtill|arandano"
    r"|\bmures?\b|\bmoras?\b|braam|aardbei|currant|\bcassis\b|groseille|ribes\b|airelle"
)
#: Food -> words of it, and what else holds it.
_FOODS: Final[dict[str, tuple[str, str]]] = {
    "kiwi": (r"kiwi", ""),
    "strawberries": (r"strawberr|erdbeer|\bfraises?\b|\bfresas?\b|fragol|aardbei", ""),
    "raspberries": (r"raspberr|himbeer|framboi[sz]|frambues|lampon|framboos|framboz", ""),
    "blueberries": (r"blueberr|heidelbeer|blaubeer|myrtille|mirtill|arandano|blauwe\s+bes", ""),
    "blackberries": (r"blackberr|brombeer|\bmures?\b|\bmoras?\b|braam", ""),
    "berries": (r"\bberr(?:y|ies)\b|\bbeeren?\b|fruits\s+rouges|frutti\s+di\s+bosco|frutos\s+rojos", _BERRIES),
    "citrus": (r"citrus|zitrus|agrum", _CITRUS),
    "lemons": (r"lemon(?!\s*(?:grass|balm))|zitrone|\bcitrons?\b|limon", ""),
    "oranges": (r"\boranges?\b|naranja|arancia|sinaasappel", ""),
    "apples": (r"\bapples?\b|\bapfel|\baepfel|manzana|\bmela\b|\bmele\b|\bappel", r"\bcider\b|\bpomm?es?\b"),
    "pears": (r"\bpears?\b|\bbirnen?\b|\bpoires?\b", ""),
    "peaches": (r"\bpeach|pfirsich|\bpeches?\b|melocoton|perzik", r"nectarine|nektarine"),
    "apricots": (r"apricot|aprikose|marille|albicocc|albaricoque|abrikoos", ""),
    "cherries": (r"\bcherr(?:y|ies)|kirsche|\bcerises?\b|cereza|cilieg|\bkersen?\b", r"kirsch|maraschino"),
    "plums": (r"\bplums?\b|pflaume|zwetschke|zwetschge|\bprunes?\b", r"powidl"),
    "mango": (r"mango(?!steen)", ""),
    "pineapple": (r"pineapple|(?<!b)ananas", ""),
    "bananas": (r"banan|platano", ""),
    "papaya": (r"papaya", ""),
    "melon": (r"\bmelons?\b|melone", r"cantaloupe|honeydew|watermelon"),
    "passion-fruit": (r"passion[\s-]?fruit|maracuja|maracuya|passionsfrucht", ""),
    "grapes": (r"\bgrapes?\b|weintraube|\braisins?\b", r"sultana|rosine|\bwines?\b|\bwein\b|currant"),
    "figs": (r"\bfigs?\b|\bfeigen?\b|\bfigues?\b", ""),
    "dates": (r"\bdates\b|\bdatteln?\b|\bdattes?\b", ""),
    "coconut": (r"coconut|kokos|noix\s+de\s+coco|\bcoco\b", ""),
    "chestnuts": (r"chestnut|\bmarrons?\b|maroni|kastanie|castagn|castana", ""),
    "avocado": (r"avocado|avocat\b|aguacate", ""),
    "tomatoes": (r"tomat|pomodor", "ketchup"),
    "nightshades": (r"nightshade|solanac|nachtschatten", _NIGHTSHADES),
    "potatoes": (r"potato|kartoffel|pommes?\s+de\s+terre|patat[ae]", ""),
    "carrots": (r"carrot|karott|mohre|carotte|zanahoria|wortel", ""),
    "garlic": (r"garlic|knoblauch|\bail\b|aglio|\bajo\b|knoflook", ""),
    "onions": (r"\bonions?\b|zwiebel|oignon|cipoll|cebolla", r"shallot|\bleek"),
    "corn": (
        r"\bcorn\b|cornstarch|cornflour|cornmeal|\bmaize|\bmais\b|\bmaiz|sweetcorn",
        r"\bcorn(?!er|ish|ed\b|et)|\bmais(?!on)|maizena|polenta|\bmasa\b|hominy",
    ),
    "rice": (r"\brice\b|\breis\b|\briz\b|\briso\b|\barroz\b|\brijst", r"mochi|reis(?:mehl|starke)"),
    "buckwheat": (r"buckwheat|buchweizen|sarrasin|grano\s+saraceno|sarraceno|boekweit", "soba"),
    "legumes": (r"legume|\bpulses\b|hulsenfr", _LEGUMES),
    "peas": (r"\bpeas?\b|\berbsen?\b", r"\bpea\s+(?:protein|fib|starch)|erbsen"),
    "chickpeas": (r"chick[\s-]?pea|kichererb|pois\s+chiche|garbanzo", r"aquafaba|hummus|gram\s+flour|besan"),
    "lentils": (r"lentil|\blinsen?\b|lentille", ""),
    "chocolate": (r"chocolat|schokolad|cioccolat|chocola\b", _CHOCOLATE),
    "cocoa": (r"\bcocoa|\bcacao|kakao", _CHOCOLATE),
    "coffee": (r"\bcoffee|kaffee|\bcafe\b|caffe\b|koffie", r"espresso|mocha|mokka"),
    "caffeine": (r"caffein|koffein|cafeine", rf"coffee|kaffee|espresso|mocha|mokka|matcha|\bteas?\b|{_CHOCOLATE}"),
    "cinnamon": (r"cinnamon|\bzimt|cannelle|canela|cannella|kaneel", r"pumpkin\s+spice|lebkuchen|speculo+s"),
    "vanilla": (r"vanill|vainilla|vaniglia", ""),
    "ginger": (r"\bginger(?!bread)|ingwer|gingembre|jengibre|zenzero|gember", "gingerbread"),
    "nutmeg": (r"nutmeg|muskat|muscade", r"\bmace\b"),
    "anise": (r"\banise?\b|aniseed", ""),
    "mint": (r"\bmint\b|peppermint|\bminze|menthe|\bmenta\b", ""),
    "poppy-seeds": (r"poppy|\bmohn|pavot|amapola|papavero|maanzaad", ""),
    "sunflower-seeds": (r"sunflower|sonnenblume|tournesol|girasol|zonnebloem", ""),
    "pumpkin-seeds": (r"pumpkin[\s-]?seed|kurbiskern", "pumpkin"),
    "flaxseed": (r"flax|linseed|leinsam|graines?\s+de\s+lin", ""),
    "honey": (r"\bhoney(?!dew|comb\s+toffee)|honig|\bmiel\b|\bmiele\b|honing", ""),
    "yeast": (r"\byeast|\bhefe|levure\s+de\s+b|levadura|lievito\s+di|\bgist\b", r"brioche|sourdough"),
    "fructose": (r"fru[ck]tos", r"\bhoney(?!dew)|honig|agave"),
    "sorbitol": (r"sorbit", ""),
    "histamine": (r"histamin", ""),
    "food-coloring": (
        r"\b(?:red\s+)?dyes?\b|\bred\s+(?:no\.?\s*)?(?:3|40)\b|(?:food|artificial)\s+colou?r",
        r"colou?ring|\bdye|farb|sprinkle",
    ),
    "latex": (r"\blatex\b", ""),
}
FAMILIES: Final = {
    name: Family(re.compile(named), re.compile("|".join(filter(None, (named, more)))))
    for name, (named, more) in _FOODS.items()
}
#: Words beside a food that do not make another of it.
_REST: Final = re.compile(
    r"\b(?:fruits?|berr(?:y|ies)|family|products?|raw|fresh|cooked|all|any|sorts?|kinds?|of|the|a|and|or|in|seeds?|severe(?:ly)?|mild|strong|anaphyla\w*|roh\w*|frisch\w*|alle)\b"
)


def family_of(words: str) -> str:
    """Return the food that words in small letters wholly stand for, or nothing."""
    for name, family in FAMILIES.items():
        match = family.named.search(words)
        if match is None:
            continue
        start = words.rfind(" ", 0, match.start()) + 1
        rest = f"{words[:start]} {words[match.end() :].lstrip('abcdefghijklmnopqrstuvwxyz')}"
        if not re.search(r"\w", _REST.sub(" ", rest)):
            return name
    return ""


_ANY: Final = re.compile("|".join(family.named.pattern for family in FAMILIES.values()))


def families_in(text: str) -> Iterator[tuple[str, int, int]]:
    """Find the foods that a text in small letters names, each with where its word begins and ends."""
    for name, family in FAMILIES.items() if _ANY.search(text) else ():
        for match in family.named.finditer(text):
            yield name, match.start(), match.end()
