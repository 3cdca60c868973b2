"""What guests cannot or do not eat, as it is named in a note in plain words: "2 coeliac, 1 peanut, one is vegan"."""

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Final

from catalog.pantry.allergens import covered
from catalog.pantry.avoid_words import speaks_of_avoiding
from catalog.pantry.kind_words import foods_named, kinds_named
from catalog.pantry.name_words import allergens_named, folded, speaks_of_allergies
from catalog.pantry.need_sums import Part, Sum, sums, without_places
from catalog.pantry.plain_text import plain_text
from catalog.pantry.reaction_words import speaks_of_reaction
from catalog.pantry.shellfish import with_molluscs
from catalog.pantry.unclear_counts import unclear

#: Other names of what a need is about -> the need; in notes and messages, and in what the kitchen claims.
SYNONYMS: Final[Mapping[str, str]] = {
    **dict.fromkeys(("treenut", "praline", "praliné"), "tree-nuts"),
    **dict.fromkeys(("filbert", "gianduja", "gianduia"), "hazelnuts"),
    **dict.fromkeys(("marzipan", "frangipane"), "almonds"),
}
#: Word of a note -> need.
_WORDS: Final[Mapping[str, str]] = {
    **SYNONYMS,
    **dict.fromkeys(("coeliac", "celiac", "gluten"), "gluten"),
    **dict.fromkeys(("wheat",), "wheat"),
    **dict.fromkeys(("peanut", "p-nut", "pnut", "ground-nut", "groundnut"), "peanuts"),
    **dict.fromkeys(("nut", "tree-nut"), "tree-nuts"),
    **dict.fromkeys(("shellfish", "crustacean", "shrimp", "prawn", "crab", "lobster"), "crustaceans"),
    **dict.fromkeys(("mollusc", "mollusk", "mussel", "oyster", "clam", "squid"), "molluscs"),
    **dict.fromkeys(("milk", "dairy", "lactose", "cream", "butter", "cheese"), "milk"),
    **dict.fromkeys(("laktose", "lattosio", "lactosa", "aplv"), "milk"),
    **dict.fromkeys(("vegitarian", "vegeterian", "vegaterian", "vegetrian"), "vegetarian"),
    **dict.fromkeys(("plant-based", "plantbased", "végan", "végane", "vegane"), "vegan"),
    **dict.fromkeys(("booze", "liquor"), "no-alcohol"),
    **dict.fromkeys(("alpha-gal", "alphagal"), "no-gelatin"),
    **dict.fromkeys(("soy", "soya", "soybean"), "soybeans"),
    **dict.fromkeys(("sulphite", "sulfite", "sulphur-dioxide", "sulfur-dioxide"), "sulphites"),
    **dict.fromkeys(("lupin", "lupine"), "lupin"),
    **dict.fromkeys(("gelatin", "gelatine"), "no-gelatin"),
    **{word: word for word in ("rye", "barley", "sesame", "fish", "celery", "mustard", "vegan", "vegetarian")},
    **{word: f"{word}s" for word in ("egg", "oat", "almond", "cashew", "hazelnut", "pecan", "walnut", "macadamia")},
    "pistachio": "pistachios",
    "brazil-nut": "brazil-nuts",
    "pine-nut": "pine-nuts",
    "alcohol": "no-alcohol",
}
#: Foods that are made of one or are a kind of one: who names them may mean them alone.
_KINDS: Final = frozenset(
    {"cream", "butter", "cheese", "shrimp", "prawn", "crab", "lobster", "mussel", "oyster", "clam", "squid", *SYNONYMS}
)
_NUMBERS: Final = dict(
    zip(
        ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"),
        range(1, 13),
        strict=True,
    )
)
#: The same in other languages, without accents; left out is what is another word elsewhere (once, otto, sei, six).
_ABROAD: Final = (
    ("zwei", "drei", "vier", "funf", "sechs", "sieben", "acht", "neun", "zehn", "elf", "zwolf"),
    ("deux", "trois", "quatre", "cinq", "", "sept", "huit", "neuf", "dix", "onze", "douze"),
    ("due", "tre", "quattro", "cinque", "", "sette", "", "nove", "dieci", "undici", "dodici"),
    ("dos", "tres", "cuatro", "cinco", "seis", "siete", "ocho", "nueve", "diez", "", "doce"),
    ("twee", "drie", "vier", "vijf", "zes", "zeven", "acht", "negen", "tien", "elf", "twaalf"),
)
_WORDS_ABROAD: Final = {word: at for words in _ABROAD for at, word in enumerate(words, start=2) if word}
#: Articles that are also "one": they count beside words of an allergy alone.
_ONE: Final = frozenset({"ein", "eine", "einen", "einer", "einem", "un", "une", "uno", "una", "een"})
#: Words of numbers -> the number, without accents.
COUNTED: Final = {**_NUMBERS, **_WORDS_ABROAD, **dict.fromkeys(_ONE, 1)}
#: Words of somebody who has a need.
_SOMEBODY: Final = re.compile(
    r"allerg|alerg|intol[le]?eran|\bzoe?li|coeliak|c(?:o?e)lia[cq]|celiach|celia[cq]|vegan|veget|anaphyla"
)
#: One person of the family, or among the guests; small letters without accents.
_ONE_PERSON: Final = re.compile(
    r"\b(?:(?:grand|step|god)?(?:mother|father|son|daughter|child|mum|mom|dad)|grand(?:ma|pa)|granny|nana|aunt(?:ie|y)?|uncle|niece"
    r"|nephew|cousin|sister|brother|wife|husband|boy|girl|baby|toddler|fiancee?|bridesmaid|groomsman|bride|groom|best\s+man"
    r"|(?:a|an|my|our|his|her)\s+(?:\w+\s+)?(?:guest|friend|colleague|kid|neighbou?r|boss|partner)|she|he"
    r"|oma|opa|omi|opi|tante|onkel|nichte|neffe|cousine|kusine|(?:schwieger|gross|stief|ur|paten)*(?:schwester|bruder|mutter|vater"
    r"|tochter|sohn)|(?:ein|das|mein|unser)\s+kind|(?:ein|mein|unser)\s+(?:gast|freund|kollege)|(?:meine|unsere)\s+(?:freundin|kollegin|frau)"
    r"|mein\s+mann|(?:grand-?|belle-|beau-)?(?:mere|pere)|oncle|soeur|frere|niece|neveu|(?:ma|ta|sa|une|la|notre)\s+(?:fille|femme|amie)"
    r"|(?:mon|un|le|notre)\s+(?:fils|mari|ami|enfant|invite))\b"
)
#: More of them.
_MANY: Final = re.compile(
    r"\b(?:children|kids|sons|daughters|boys|girls|twins|both|guests|people|friends|colleagues|couple|several|some|few|kinder|gaste"
    r"|leute|beide\w*|paar|mehrere|einige|enfants|invites|amis|quelques|plusieurs)\b"
)
#: What menus and notes shorten: gluten-free, dairy-free, nut-free; "my gf" and "Tom's new gf" are somebody.
_SHORT: Final = re.compile(
    r"(?<!\bmy )(?<!\byour )(?<!\bhis )(?<!\bher )"
    r"\b([GDN](?=[./]?F\b)|(?<!['’]s )(?<!\bthe )(?<!\ba )(?<!\bnew )[gdn](?=[./]?f\b))[./]?[Ff]\b(?!\w)\.?"
)
_SHORT_NEEDS: Final = {"G": "gluten", "D": "milk", "N": "tree-nuts"}
_SHORT_WORDS: Final = {"G": "gluten", "D": "dairy", "N": "nut"}
#: Egg that is not cooked: another need than egg.
_RAW_EGG: Final = re.compile(
    r"\b(?:raw|uncooked|undercooked|lightly\s+cooked|unpasteuri[sz]ed|runny)\s+eggs?\b|\brohe[nsr]?\s+ei(?:er|ern)?\b"
    r"|\b(?:œufs?|oeufs?)\s+crus?\b|\buov[oa]\s+crud[oaei]\b|\bhuevos?\s+crudos?\b|\brauwe?\s+ei(?:eren)?\b",
    re.IGNORECASE,
)
#: Four digits that are a year, and no number of guests.
_YEAR: Final = re.compile(r"(?:19|20)\d\d")
_ANY: Final = "|".join(word.replace("-", r"[\s-]+") for word in sorted(_WORDS, key=len, reverse=True))
_BETWEEN: Final = (
    r"(?:x|×|of\s+them|guests?|people|persons?|children|child|kids?|adults?|women|woman|men|man|is|are|has|have|with|who"
    r"|cannot|can['’]t|do\s+not|does\s+not|don['’]t|doesn['’]t|eats?|no|not|any|an?|the|allergic|allergy|to|severely|severe"
    r"|strictly|strict|intolerant|avoids?|need|needs|:)"
)
_NAMED: Final = re.compile(
    rf"(?:\b(?P<number>\d{{1,4}}|{'|'.join(_NUMBERS)})\s?(?:{_BETWEEN}\s?){{0,24}}?)?\b(?P<word>{_ANY})s?\b",
    re.IGNORECASE,
)

#: What parts one guest's need from the next in a note.
SEGMENT: Final = re.compile(r"[,;.\n]|\b(?:and|und|et|y|e|en|plus)\b|[+&]")
_COUNT: Final = re.compile(
    rf"\b(\d{{1,4}}|due(?!\s+to\b)|{'|'.join(word for word in COUNTED if word != 'due')})\b|(?<=[x×])\s?(\d{{1,4}})\b"
)


def needs_in(text: str, guests: int | None = None) -> dict[str, int | None]:
    """Return the needs that a note names, each with its number of guests: that before it, or the one beside it.

    What names no allergen, but a food made of one ("no panko"), counts as the allergen. ``guests`` are those of the
    event: a number above is no number of guests, and neither is a year. "GF" and the like count in capitals; raw egg is
    a need of its own. A need that is named more than once has the number that they plainly are together, or none.
    """
    return with_molluscs(text, listed_in(text, guests))


def listed_in(text: str, guests: int | None = None) -> dict[str, int | None]:
    """Return the same with each word as one need alone: shellfish as crustaceans."""
    found = _first_numbers(text, guests)
    return found | {code: one.guests for code, one in sums_in(text, guests).items() if code in found}


def need_called(words: str) -> str:
    """Return the need that words are the name of, such as peanut, dairy or GF; nothing where they say more or less."""
    plain = folded(words).strip().replace(" ", "-")
    if short := _SHORT.fullmatch(words.strip()):
        return _SHORT_NEEDS[short[1].upper()]
    for word in (plain, plain.removesuffix("s"), plain.removesuffix("es")):
        if word in _WORDS and word not in _KINDS:
            return _WORDS[word]
    return ""


def least_needs_in(text: str, guests: int | None = None) -> dict[str, int | None]:
    """Return the same with the least that they are where nobody can tell the number."""
    found = _first_numbers(text, guests)
    return with_molluscs(text, found | {key: one.least for key, one in sums_in(text, guests).items() if key in found})


def sums_in(text: str, guests: int | None = None) -> dict[str, Sum]:
    """Return the needs that a note names more than once, each with what they are together, or beside other numbers."""
    text = _SHORT.sub(lambda match: f" {_SHORT_WORDS[match.group(1).upper()]} ", without_places(plain_text(text)))
    text = folded(_RAW_EGG.sub(" ", text))
    ends = [*SEGMENT.finditer(text)]
    starts = [0, *(match.end() for match in ends)]
    between = ["", *(match[0] for match in ends)]
    parts = zip(starts, [*(match.start() for match in ends), len(text)], between, strict=True)
    found = [_part(text[start:end], after, guests) for start, end, after in parts]
    every = sums(found) | unclear(found)
    return {code: one if guests is None or one.least <= guests else Sum(None, guests) for code, one in every.items()}


def _part(text: str, after: str, guests: int | None) -> Part:
    before, numbers = _before(text, guests), _numbers(text, guests)
    codes = [*dict.fromkeys([*foods_named(text), *before])]
    codes = [code for code in codes if not any(covered(one) < covered(code) for one in codes)]
    one_person = not numbers and _ONE_PERSON.search(text) is not None and not _MANY.search(text)
    beside = numbers[0] if len(codes) == len(numbers) == 1 else 1 if one_person else None
    return Part(text, after, {code: before.get(code) or beside for code in codes}, tuple(numbers), one_person)


def _first_numbers(text: str, guests: int | None) -> dict[str, int | None]:
    raw, text = _raw_egg(without_places(plain_text(text)), guests)
    found = _before(text, guests) | raw
    for need, count in _shortened(text, guests):
        found[need] = found.get(need) or count
    for part in SEGMENT.split(folded(text)):
        named = [code for code in foods_named(part) if not any(covered(one) < covered(code) for one in found)]
        numbers = _numbers(part, guests)
        count = numbers[0] if len(named) == 1 and len(numbers) == 1 else None
        for code in named:
            found[code] = found.get(code) or count
        # One person has it: "Niece cannot eat nuts".
        if not numbers and _ONE_PERSON.search(part) and not _MANY.search(part):
            found |= dict.fromkeys((code for code in {*named, *_before(part, guests)} if found.get(code) is None), 1)
        # The one number after the one word of a need, such as "vegetarian x3".
        worded = list(_before(part, guests))
        if len(worded) == len(numbers) == 1 and not set(named) - set(worded):
            found[worded[0]] = found.get(worded[0]) or numbers[0]
    return found


def _raw_egg(text: str, guests: int | None) -> tuple[dict[str, int | None], str]:
    """Return the need of who eats no raw egg, and the text without the words of it."""
    text = plain_text(text)
    if not _RAW_EGG.search(text):
        return {}, text
    parts = [part for part in SEGMENT.split(text) if _RAW_EGG.search(part)]
    numbers = [number for part in parts for number in _numbers(folded(part), guests)]
    return {"no-raw-egg": numbers[0] if len(numbers) == 1 else None}, _RAW_EGG.sub(" ", text)


def _shortened(text: str, guests: int | None) -> Iterator[tuple[str, int | None]]:
    """Find the needs that capitals stand for, each with the one number beside it."""
    for part in SEGMENT.split(plain_text(text)):
        named = {_SHORT_NEEDS[match.group(1).upper()] for match in _SHORT.finditer(part)}
        numbers = _numbers(folded(part), guests)
        yield from ((need, numbers[0] if len(named) == len(numbers) == 1 else None) for need in sorted(named))


def numbers_in(text: str, guests: int | None = None) -> list[int]:
    """Return the numbers of guests that a text names, up to four digits, or in words up to twelve."""
    text = folded(without_places(plain_text(text)))
    return [number for part in SEGMENT.split(text) for number in _numbers(part, guests)]


def _numbers(part: str, guests: int | None) -> list[int]:
    """Return the numbers of one part of a note; "eine" is one only beside words of an allergy."""
    somebody = _SOMEBODY.search(part) is not None
    words = [one or other for one, other in _COUNT.findall(part)]
    every = (_number(word, guests) for word in words if somebody or word not in _ONE)
    return [number for number in every if number is not None]


def count_of(part: str, guests: int | None = None) -> int | None:
    """Return the guests of one part of a note in small letters: its one number, or one person of the family."""
    numbers = _numbers(part, guests)
    if not numbers and _ONE_PERSON.search(part) and not _MANY.search(part):
        return 1
    return numbers[0] if len(numbers) == 1 else None


def _number(word: str, guests: int | None) -> int | None:
    if word in COUNTED:
        number = COUNTED[word]
    elif _YEAR.fullmatch(word):
        return None
    else:
        number = int(word)
    return None if guests is not None and number > guests else number


def _before(text: str, guests: int | None = None) -> dict[str, int | None]:
    found: dict[str, int | None] = {}
    for match in _NAMED.finditer(plain_text(text)):
        word, number = re.sub(r"\s+", "-", match["word"].lower()), match["number"]
        need = _WORDS[word]
        count = None if number is None else _number(number.lower(), guests)
        found[need] = count or found.get(need)
    return found


#: Words of an allergy or a diet, in the languages in which claims are read too; the beginnings of words.
_SURE: Final = re.compile(
    r"\b(?:allerg|alerg|alérg|intol[eé]ran|intolleran|unverträglich|anaphyla|epi-?pen|zöliakie|coeliak|c(?:o?e|œ)lia[cq]|celíac"
    r"|celiach|diabet|vegan|végan|vegeta[lr]i|végéta[lr]i|vegetarisch|halal|kosher|koscher|dietary|pregnan|schwanger|enceinte|embaraza|incinta|zwanger"
    r"|grávid|la[ck]tos)"
    r"|\b(?:can\s?not|can['’]?t|must\s+not|mustn['’]t|unable\s+to|not\s+allowed\s+to)\s+(?:\w+\s+)?(?:eat|tolerate)\b"
    r"|\b(?:gluten|dairy|egg|wheat|nut|alcohol)[\s-]*free\b|\bfodmaps?\b"
    # What no list of allergens has, and faiths and states that leave foods out.
    r"|\balpha[\s-]?gal\b|\b(?:buckwheat|buchweizen|sarrasin|grano\s+saraceno|trigo\s+sarraceno|boekweit)\b|\bfru[ck]t(?:os|ose)"
    r"|\bhistamin|\bsorbit|\b(?:pku|phenylketonuria|favism|aplv)\b|\b(?:alcoholics?|sober|teetotal\w*|muslims?|jains?|hindus?|ramadan)\b"
    r"|\b(?:immun(?:e|o)[\s-]?(?:compromised|suppress\w*)|chemo(?:therapy)?|transplant)\b|\bno\s+(?:pork|beef|meat|lard|booze)\b"
    r"|\b(?:infants?|newborn)\b"
    # What somebody does not bear or digest, in other languages.
    r"|\b(?:ne\s+|n['’]\s?)?(?:supporte(?:nt|s)?|tol[eèé]re(?:nt|s)?|dig[eèé]re(?:nt|s)?)\s+(?:\w+\s+)?(?:pas|mal|plus|rien|aucun)\b"
    r"|\b(?:vertr[aä]gt|vertragen)\s+(?:\w+\s+){0,3}(?:nicht|kein\w*|schlecht)\b|\bnon\s+(?:tollera|digerisce|sopporta)\w*"
    r"|\bno\s+(?:tolera|digiere|soporta)\w*|\bverdra(?:agt|gen)\s+(?:\w+\s+){0,3}(?:niet|geen|slecht)\b"
    # What happens to somebody who eats it.
    r"|\b(?:reactions?|swell(?:s|ed|ing)|swollen|hives|wheez\w*|adrenaline?|auto-?injectors?)\b|\bswell\s+up\b"
    r"|\b(?:will|would|to|may|can|does|throat|lips?|tongue|face|eyes|him|her|me|them)\s+swell\b"
    r"|\breact(?:s|ed|ing)?\s+(?:\w+ly\s+)?(?:badly|terribly|severely|strongly|to|when|if|after)\b"
    r"|\b(?:went|been|end(?:s|ed)?(?:\s+up)?|rushed|taken|took\s+\w+|landed|put\s+\w+|sent\s+\w+)\s+(?:\w+\s+){0,2}?"
    r"(?:to|in|into|at)\s+(?:the\s+|an?\s+)?(?:hospital|emergency|e\.?r\b|a&e\b)|\bgo(?:es)?\s+(?:in)?to\s+hospital\b"
    r"|\b(?:mak|made|get|got|fall|fell|becom|became|feel|felt)\w*\s+(?:[\w'-]+\s+){0,3}?(?:ill|sick|unwell|poorly)\b"
    r"|(?<!\bwe )(?<!\byou )\b(?:can\s?not|can't|must\s+not|mustn't|may\s+not)\s+have\b"
    r"|\bwe\s+(?:can\s?not|can't)\s+have\b(?!\s+(?:an?|the|our|your|it|this|that|these|those|any|more|less|both|people)\b)"
    # What somebody was told to leave.
    r"|\b(?:stay\w*|keep\w*|kept|steer\w*)\s+(?:well\s+|far\s+|right\s+|clear\s+)?(?:away|clear|off)\b"
    r"(?!\s+(?:from\s+|of\s+)?(?:the|your|our|my|that|this)\b)"
    r"|\bdoctors?\s+(?:says?|said|told|forb\w+|order\w*)\b|\bdoctor['’]?s\s+orders?\b|\b(?:arzt|ärztin|médecin|médico)\b"
    r"|\b(?:krankenhaus|spital|notaufnahme|hôpital|urgences|ospedale|pronto\s+soccorso|ziekenhuis)\b"
    r"|\b(?:ohne|keine?|sans|sin|senza|sem|zonder|geen)\s+(?:\w+\s+)?(?:gl[uú]t|n[uü][sß]|noten|noix|nuec|noci|nozes|milch|melk"
    r"|lait|leche|latte|leite|eier|œuf|oeuf|huevo|uov|ovos)",
    re.IGNORECASE,
)
#: Foods that are talked of for their taste as often as for an allergy: they need words of refusal before them.
_OF_TASTE: Final = re.compile(
    r"(?:milk|cream|butter|cheese|fish|crab|lobster|oyster|alcohol|praline|praliné|gianduja|gianduia|marzipan|frangipane)s?",
    re.IGNORECASE,
)
#: So far before a food such words are looked for [characters].
_REACH: Final = 400
_REFUSED: Final = re.compile(
    r"\b(?:no|not|without|any|avoid\w*|never|n['’]t|\w+n['’]t|react\w*|sick|ill|harm\w*|danger\w*)\b[^.!?\n]*$",
    re.IGNORECASE,
)
#: What follows a food that only names what is sold: "walnut sponge", "almond tartlets".
_SOLD: Final = (
    r"bars?|bread|biscuits?|brownies?|buns?|cakes?|chocolates?|cookies?|creams?|crumbles?|cups?|custards?|desserts?|fillings?"
    r"|frangipanes?|glazes?|icings?|macarons?|meringues?|mousses?|ones?|pastes?|pastr(?:y|ies)|pies?|portions?|pots?|pralines?"
    r"|puddings?|rolls?|shortbreads?|slices?|sponges?|squares?|tarts?|tartlets?|tortes?|tiers?|trays?|variet(?:y|ies)|version"
)
_NAME: Final = re.compile(rf"[\s-]+(?:{_SOLD})\b", re.IGNORECASE)

#: Words by which somebody leaves a food out, in the six languages, without accents.
_STAYS_OFF: Final = re.compile(
    r"\b(?:no|not|without|avoid\w*|never|nothing|off|away|\w+n't|cannot|bad\s+for|instead|ohne|keine?n?|nicht|nie|niemals|statt|sans"
    r"|pas|jamais|rien|evit\w*|sin|nunca|nada|senza|non|mai|niente|zonder|geen|niet|nooit|niets)\b"
)

#: Somebody of the family, or a guest; in small letters without accents.
_PERSON: Final = (
    r"(?:(?:grand)?(?:mother|father|son|daughter|child|kid|mum|mom|dad)|grand(?:ma|pa)|granny|nana|gramps|aunt\w*|uncle"
    r"|niece|nephew|cousin|sister|brother|wife|husband|bridesmaid|best\s+man|guests?|children|kids"
    r"|oma|opa|tante|onkel|nichte|neffe|schwester|bruder|mutter|vater|mama|papa|tochter|sohn|mere|pere|oncle|soeur|frere"
    r"|nonn[oa]|zi[oa]|sorella|fratello|madre|padre|abuel[oa]|herman[oa])"
)
#: How somebody speaks of trouble with a food without its name: the thing with bread, funny about eggs.
_PROBLEM: Final = re.compile(
    rf"\b{_PERSON}\b[^.!?\n]{{0,60}}\b(?:with|about|after|from|mit|avec|con|met)\b"
    r"|\b(?:thing|trouble|troubles|issues?|problems?|funny|bad|badly|difficult|sensitive|delicate|poorly|ill)"
    r"\s+(?:with|about|after|from)\b"
)
#: Words of somebody who wants it.
_WANTS: Final = re.compile(
    r"\b(?:want\w*|likes?|liked|loves?|loved|prefer\w*|order\w*|add\w*|bring\w*|more|favou?rite|enjoy\w*|hopes?|please|mochte"
    r"|gern\w*|liebt|aime\w*|voudrai\w*|vorre\w*|quisier\w*|graag)\b"
)

#: What is sold, by its name: "walnut tart", "cheesecake"; and not "with bread".
_DISH: Final = re.compile(
    rf"\b(?!(?:with|about|after|from|mit|avec|con|met|the|an?)\b)[\w']{{1,30}}[\s-]{{1,3}}(?:{_SOLD})\b"
    r"|\b\w{1,20}(?:cakes?|tarts?|torten?|kuchen)\b",
    re.IGNORECASE,
)


def leaves_out(part: str) -> bool:
    """Return whether words in small letters speak of what somebody leaves out."""
    return _STAYS_OFF.search(part) is not None


def speaks_of_need(text: str) -> bool:
    """Return whether a text has words of an allergy or a diet, or of what somebody cannot have."""
    return _SURE.search(text) is not None


def is_sold(part: str, end: int) -> bool:
    """Return whether a food that ends there only names what is sold: "strawberry tart"."""
    return _NAME.match(part, end) is not None


def is_wanted(part: str) -> bool:
    """Return whether somebody wants what words in small letters name."""
    return _WANTS.search(part) is not None and not leaves_out(part)


def _has_problem(text: str) -> bool:
    """Return whether a sentence speaks of a food and somebody's trouble with it, though of no allergy by name."""
    return any(
        foods_named(part) and _PROBLEM.search(part) is not None and not _WANTS.search(part)
        for part in re.split(r"[.!?\n]", folded(text))
    )


def may_name_need(text: str, sold: Iterable[str] = ()) -> bool:
    """Return whether words of a customer may name what a guest cannot eat, rather too often than not.

    ``sold`` are names of products: a food in one of them, or before "cake" and the like, is what they want to eat.
    """
    text = plain_text(text)
    if speaks_of_reaction(text) or speaks_of_avoiding(text):
        return True
    if _SURE.search(text) or _SHORT.search(text) or _RAW_EGG.search(text) or speaks_of_allergies(text):
        return True
    for name in sorted(filter(None, map(plain_text, sold)), key=len, reverse=True):
        text = re.sub(re.escape(name), " ", text, flags=re.IGNORECASE)
    if set(allergens_named(text)) - _before(text).keys():
        return True  # in another language, or joined to another word
    if kinds_named(text) and _STAYS_OFF.search(folded(text)):
        return True  # a food made of one, and words of refusal
    if _has_problem(_DISH.sub(" ", text)):
        return True
    return any(
        not _NAME.match(text, match.end())
        and not (
            _OF_TASTE.fullmatch(match["word"])
            and not _REFUSED.search(text[max(0, match.start() - _REACH) : match.start()])
        )
        for match in _NAMED.finditer(text)
    )
