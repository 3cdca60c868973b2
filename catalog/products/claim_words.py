"""The words by which a text claims to be free of something, or denies that it is.

They are looked for in English, and the commonest in German, French, Spanish, Italian, Dutch and Portuguese. No list
catches every sentence: the standing caution about traces follows the kitchen's own words whatever they say.
"""

import re
from collections.abc import Mapping
from typing import Final

from catalog.pantry.note_needs import SYNONYMS

#: A claim to be free of all allergens: no need of a guest, but every code that is asked.
ALLERGENS_ALL: Final = "allergens"
#: A claim to be fine for the guests one writes to or about, whoever they are: every need of theirs.
GUESTS: Final = "guests"
#: Word of a claim -> the need it promises to serve; the last letter of a plural is left off.
NEEDS: Final[Mapping[str, str]] = {
    **dict.fromkeys(("milk", "dairy"), "milk"),
    **SYNONYMS,
    **dict.fromkeys(("nut", "tree-nut"), "tree-nuts"),
    **dict.fromkeys(("soy", "soya", "soybean"), "soybeans"),
    **dict.fromkeys(("gelatin", "gelatine"), "no-gelatin"),
    **dict.fromkeys(("shellfish", "crustacean"), "crustaceans"),
    **dict.fromkeys(("mollusc", "mollusk"), "molluscs"),
    **dict.fromkeys(("sulphite", "sulfite"), "sulphites"),
    **dict.fromkeys(("lupin", "lupine"), "lupin"),
    **{word: word for word in ("wheat", "rye", "barley", "gluten", "sesame", "fish", "celery", "mustard")},
    **{word: word for word in ("vegan", "vegetarian")},
    **{word: f"{word}s" for word in ("egg", "peanut", "oat", "almond", "cashew", "hazelnut", "pecan", "walnut")},
    "pistachio": "pistachios",
    "macadamia": "macadamias",
    "brazil-nut": "brazil-nuts",
    "pine-nut": "pine-nuts",
    "alcohol": "no-alcohol",
    "allergen": ALLERGENS_ALL,
    **dict.fromkeys(("coeliac", "celiac", "cœliac"), "gluten"),
}
#: Capitals in which menus claim it -> the need.
SHORT: Final[Mapping[str, str]] = {"GF": "gluten", "DF": "milk", "NF": "tree-nuts"}
#: Beginning of the people for whom something is fine in another language -> the need.
PEOPLE: Final[Mapping[str, str]] = {
    **dict.fromkeys(("zöliakie", "zoeliakie", "coeliak", "coeliaque", "cœliaque", "celíac", "celiac"), "gluten"),
    **dict.fromkeys(("vegan", "végan", "végétalien", "vegano"), "vegan"),
    **dict.fromkeys(("vegetari", "végétari"), "vegetarian"),
    **dict.fromkeys(("allerg", "alérg"), ALLERGENS_ALL),
    **dict.fromkeys(("schwanger", "zwanger", "enceinte", "femme enceinte", "femmes enceinte"), "no-raw-egg"),
    **dict.fromkeys(("embarazad", "mujeres embarazad", "incint", "donne incint", "grávida"), "no-raw-egg"),
    **dict.fromkeys(("ihre gäste", "ihren gast", "vos invité", "votre invité", "sus invitad", "su invitad"), GUESTS),
    **dict.fromkeys(("vostri ospiti", "vostro ospite", "uw gast", "seus convidad", "seu convidad"), GUESTS),
}
#: The same as one word.
_PRONOUNS: Final = r"(?:sie|ihn|elle|elles|lui|eux|ella|ellos|ellas|él|lei|loro|haar|hem|hen|ela|elas|ele|eles)\b"
#: Beginning of a word in another language -> the need; longer ones are looked for first.
FOREIGN: Final[Mapping[str, str]] = {
    **dict.fromkeys(("gluten", "glutine", "glúten"), "gluten"),
    **dict.fromkeys(("nuss", "nuß", "nüsse", "noten", "noix", "fruits à coque", "frutos secos", "nueces"), "tree-nuts"),
    **dict.fromkeys(("noci", "frutta a guscio", "nozes", "frutos de casca"), "tree-nuts"),
    **dict.fromkeys(("haselnuss", "haselnüsse", "noisettes", "avellanas", "nocciole"), "hazelnuts"),
    **dict.fromkeys(("mandel", "amandes", "almendras", "mandorle", "amêndoas"), "almonds"),
    **dict.fromkeys(("walnuss", "walnüsse"), "walnuts"),
    **dict.fromkeys(("erdnuss", "erdnuß", "erdnüsse", "pinda", "arachide", "arachidi", "cacahuète"), "peanuts"),
    **dict.fromkeys(("cacahuete", "cacahuate", "maní", "amendoim"), "peanuts"),
    **dict.fromkeys(("milch", "melk", "lait", "leche", "latte", "laktose", "lattosio", "lactosa"), "milk"),
    **dict.fromkeys(("leite", "lácteos", "produits laitiers"), "milk"),
    **dict.fromkeys(("eier", "ei", "œuf", "oeuf", "huevo", "uova", "ovos"), "eggs"),
    **dict.fromkeys(("soja", "soia"), "soybeans"),
    **dict.fromkeys(("weizen", "tarwe", "blé", "trigo", "frumento", "grano"), "wheat"),
    **dict.fromkeys(("sesam", "sésame", "sésamo", "sesamo"), "sesame"),
    **dict.fromkeys(("fisch", "vis", "poisson", "pescado", "pesce", "peixe"), "fish"),
    **dict.fromkeys(("krebstier", "crustacés", "crustáceos", "crostacei"), "crustaceans"),
    **dict.fromkeys(("gelatine", "gélatine", "gelatina"), "no-gelatin"),
    **dict.fromkeys(("alkohol", "alcool", "alcol", "alcohol", "álcool"), "no-alcohol"),
    **dict.fromkeys(("allergen", "allergène", "alérgeno", "allergeni", "alergénio"), ALLERGENS_ALL),
}


def any_word(words: Mapping[str, str]) -> str:
    """Return the words of a table as one pattern, the longest first; a hyphen may be a space."""
    return "|".join(re.escape(word).replace(r"\-", r"[\s-]+") for word in sorted(words, key=len, reverse=True))


#: A word of ``NEEDS``, in the singular.
BARE: Final = f"(?:{any_word(NEEDS)})"
_ALLERGIC: Final = r"(?:allerg|intoleran|sensitiv)"
#: A word of ``NEEDS``, in singular or plural.
WORD: Final = rf"{BARE}s?\b"
_BEFORE: Final = r"(?:(?:a|an|the|single|any|all|other|added|hidden|known|major|common|whole|ground|traces?\s+of)\s+)*"
#: Bounded, so that a text of nothing but foods is read in time that grows with its length; no law lists as many.
_LIST: Final = (
    rf"{WORD}(?:(?:\s*,\s*(?:and\s+|or\s+)?|\s+(?:and|or|nor)\s+|\s*[/&]\s*)(?:no\s+)?{_BEFORE}{WORD}){{0,40}}"
)
_THING: Final = r"[\w'’-]+(?:\s+(?!(?:or|nor|and)\b)[\w'’-]+)?"
#: The same with what nobody knows among it: "no coconut, walnuts or pecans". An "or" holds it together.
_MIXED: Final = (
    rf"(?:{_THING}(?:\s*,\s*{_THING}){{0,5}}?(?:\s*,)?\s*(?:\s(?:or|nor)\s|/)\s*{_BEFORE})?{_LIST}"
    rf"(?:(?:\s*,\s*(?!and\b|or\b|nor\b){_THING}){{0,5}}(?:\s*,)?\s+(?:or|nor)\s+{_BEFORE}[\w'’-]+)?"
)
#: Doing something with a food: using it, having it in the house.
DOING: Final = (
    r"(?:us(?:e|es|ing|ed)|handl(?:e|es|ing|ed)|ha(?:ve|s|d)|contain(?:s|ed|ing)?|buy|bought|ke(?:ep|eps|pt)|stor(?:e|es|ed)"
    r"|add(?:s|ed)?|process(?:es|ed)?|allow(?:s|ed)?|serv(?:e|es|ed)|me(?:e|t)ts?|met|touch(?:es|ed)?|se(?:e|es|en)|saw"
    r"|com(?:e|es|ing)\s+(?:near|into\s+contact\s+with|in\s+contact\s+with)|come\s+across|encounter(?:s|ed)?"
    r"|bring(?:s)?(?:\s+in)?|brought(?:\s+in)?|(?:work|bake|cook)(?:s|ed)?\s+with"
    r"|ma(?:k(?:e|es|ing)|de)\s+(?:with|from|using))"
)
#: Words that deny what follows.
NOT: Final = r"(?:not|never|\w+n['’]t)"
#: So many words at most.
SOME: Final = r"(?:[\w’'-]+\s+){0,%d}?"
_ENTER: Final = (
    r"(?:enter(?:s|ed)?|come|comes|came|cross(?:es|ed)?|get|gets|got|touch(?:es|ed)?|met|meets?|find|pass(?:es)?|used|handled"
    r"|kept|stored|processed|found|present|allowed|permitted|welcome|admitted|brought|set\s+foot|go|goes|in|part)"
)
_RISKY: Final = (
    rf"(?:{_ALLERGIC}\w*|cross[\s-]?contact\w*|cross[\s-]?contaminat\w*|contaminat\w*|traces?|reactions?"
    r"|c(?:o?e|œ)liacs?)"
)
_WORRY: Final = (
    r"(?:risk|danger|chance|possibility|worry|worries|concerns?|fear|hazard|need\s+to\s+(?:worry|fear|be\s+afraid))"
)
_CLAUSE: Final = r"[^.,;:!?\n]*"

_GUEST: Final = (
    r"(?:guests?|aunts?|uncles?|sons?|daughters?|child(?:ren)?|kids?|mother|father|mum|mom|dad|sisters?|brothers?|friends?"
    r"|husband|wife|partner|cousins?|niece|nephew|grand\w+|visitors?|people|persons?|eaters?|sufferers?)"
)
_THEIRS: Final = rf"(?:(?:your|the|any|our|those|these|all)\s+(?:\w+\s+){{0,2}}?{_GUEST})"
#: Those of whom a text speaks, at its beginning: "her", "your guest".
THEM: Final = re.compile(
    rf"(?:her|him|them|{_THEIRS})\b(?!\s+to\s+(?:park|arrive|come|enter|sit|wait|pay|call))", re.IGNORECASE
)
#: An exception, after which nobody promises everything.
_BUT: Final = r"(?![^.;:!?\n]*\b(?:except|but|apart\s+from|other\s+than|besides|bar|save\s+for|unless|if)\b)"
_EATS: Final = (
    r"\s+(?:can|may)(?!\s*not\b|n?['’]t)\s+(?:\w+ly\s+|also\s+|all\s+)?"
    r"(?:eat|have|enjoy|taste|(?:tuck|dig|join)\s+in(?:to)?|indulge)(?:\s+|(?=[.,!;]|$))"
)
_DISH: Final = r"(?:one|ones|dessert|desserts|cake|cakes|tart|tarts|mousse|bar|bars|pie|pies)\b"
_ALL_OF_IT: Final = (
    r"(?:everything|anything|all\s+of\s+(?:it|this|them|these)|it\s+all|the\s+(?:whole|entire)\s+\w+"
    rf"|(?:this|that|these|those|every|each|any|all\s+the|all)\s+(?:\w+\s+)?{_DISH})"
)
_MAYBE: Final = r"(?:could|can|would|will|may|might)"
_HURT: Final = r"(?:hurt|harm|endanger|upset|trigger)"
#: Whom it will not harm: somebody, or nobody named; and not the tablecloth.
_WHOM: Final = (
    r"(?=\s*(?:$|[.,!;\n])|\s+(?:her|him|them|you|your|my|our|those|people|any(?:one|body)|some(?:one|body)|(?:the\s+)?(?:[\w-]+\s+)?"
    rf"{_GUEST})\b)"
)
#: Every guest, whatever they cannot eat.
_ALL_GUESTS: Final = (
    r"(?:every(?:one|body)|any(?:one|body)|(?:all|every|each)\s+(?:of\s+)?(?:the\s+|your\s+|our\s+)?guests?"
    r"|(?:all|each)\s+of\s+(?:you|them))"
)
#: Words of a claim in letters that stand apart: "g l u t e n free".
_SPACED: Final = "|".join(
    r"[\s.-]".join(word) for word in ("gluten", "dairy", "milk", "nut", "nuts", "egg", "wheat", "soy", "peanut")
)
#: Words before which leaving something out is an offer, or is denied.
_OFFER: Final = r"(?<!\bcan )(?<!\bcould )(?<!not )(?<!n't )(?<!\bto )(?<!\bmay )(?<!\bwill )"

#: A very little of something.
_BIT: Final = r"(?:traces?|drops?|hints?|crumbs?|specks?|bits?|grains?|spots?|licks?|whiffs?|scraps?|dash|touch|splash)"
_BIT_ABROAD: Final = (
    r"(?:tropfen|spur(?:en)?|hauch|krümel|gramm|schuss|goutte|trace|grain|miette|soupçon|goccia|traccia|briciola|gota|traza"
    r"|pizca|druppel|spoor|spoortje)"
)
_PREGNANT: Final = r"(?:pregnan\w*|expectant\s+\w+|(?:mother|mum|mom)s?-to-be)"
_GOOD: Final = r"(?:safe|suitable|fine|ok|okay|good|great|perfect|ideal|right|all\s+right|harmless|made|allowed)"
#: Made of plants, and of nothing else, in the six languages.
_PLANTS: Final = (
    r"\b(?:(?:rein|ganz|nur|ausschlie(?:ß|ss)lich|vollständig|komplett|100\s?(?:%|prozent))\s+(?:aus\s+)?pflanzlich\w*"
    r"|(?:100\s?%|purement|entièrement|totalement|exclusivement|uniquement)\s+(?:d['’])?(?:\w+\s+)?v[ée]g[ée]ta(?:le?s?|ux|lien\w*)"
    r"|(?:only|purely|solely|entirely|just|nothing\s+but|all|100\s?%)\s+(?:from\s+|of\s+)?plant[\s-]+"
    r"(?:ingredients?|products?|foods?|fats?|derived)"
    r"|(?:made|baked)\s+(?:of|from|with)\s+(?:only\s+plants|nothing\s+but\s+plants|plants\s+(?:only|alone))"
    r"|(?:solo|100\s?%|puramente|interamente|esclusivamente|sólo|totalmente|exclusivamente)\s+(?:\w+\s+)?vegetal(?:es|[ei])?"
    r"|(?:puur|zuiver|volledig|alleen|uitsluitend|100\s?%)\s+plantaardig\w*)\b"
)
_RAW_EGG: Final = (
    r"(?:(?:raw|uncooked|undercooked|lightly\s+cooked|runny|unpasteuri[sz]ed|rohe[nmrs]?|rauwe?)\s+(?:eggs?|ei(?:er|ern|eren)?)"
    r"|(?:d['’])?(?:œufs?|oeufs?)\s+crus?|uov[oa]\s+crud[oaei]|huevos?\s+crudos?)"
)
_EAT_ABROAD: Final = (
    r"(?:peu(?:vent|t)|können|kann|dürfen|darf|possono|può|pueden?|kunnen|mogen|podem)\s+"
    r"(?:(?!\b(?:pas|nicht|niet|non|no|não|kein\w*|rien|nichts)\b)[^.;:!?\n]){0,40}?"
    r"\b(?:manger|déguster|essen|genie(?:ß|ss)en|mangiar\w*|comer\w*|eten)\b"
)

#: Ways to claim; a group's name says how what it holds is read.
CLAIMS: Final = tuple(
    re.compile(pattern, re.IGNORECASE)
    for pattern in (
        rf"\b(?:no|without|zero|(?:free|devoid|void|empty|clear)\s+(?:of|from)|{NOT}\s+{SOME % 3}{DOING}"
        rf"|(?:nothing|none|no\s+\w+)\s+{SOME % 6}(?:with|{DOING}))\s+{_BEFORE}"
        rf"(?P<words>{_MIXED})(?![\s-]*(?:free|safe|{_ALLERGIC}|friendly))",
        r"\b(?:no|without(?:\s+any)?|zero|not\s+(?:use\s+)?any|never\s+(?:use\s+)?any|keine?rlei|kein|ohne|sans|pas\s+de|aucune"
        r"|sin|senza|zonder|geen)\s+(?P<floury>(?:wheat\s+|white\s+|plain\s+)?flour|mehl|farine?|farina|harina|bloem|meel)\b"
        r"(?!\s+(?:tortillas?|bags?|dust\w*)\b)",
        rf"\b(?P<free>{BARE}s?)[\s-]*free\b(?!\s+(?:of\s+charge|deliver\w+|tasting|parking|sample)\b)",
        rf"\b(?P<safe>{BARE}s?|allergy|allergies|allergic)[\s-]*(?:safe|friendly|proof)\b",
        r"\b(?P<people>(?:safe|suitable|fine|ok|okay|all\s+right|harmless|no\s+(?:problem|issue|trouble))\s+"
        r"(?:to\s+\w+\s+)?(?:for|with|by)\s+(?P<who>[^.;:!?\n]*))",
        r"\b(?P<people>can\s+(?:\w+ly\s+)?be\s+(?:eaten|enjoyed|had|served)\s+(?:by|to)\s+(?P<who>[^.;:!?\n]*))",
        r"\b(?P<people>(?<!follow\s)suits?\s+(?P<who>[^.;:!?\n]*))",
        rf"\b(?P<eater>vegans?|vegetarians?|c(?:o?e|œ)liacs?|(?:{WORD}|{_ALLERGIC}\w*)[\s-]+(?:\w+\s+)?{_GUEST}){_EATS}{_BUT}",
        rf"\b(?P<theirs>(?:she|he|they|{_THEIRS}){_EATS}{_ALL_OF_IT}){_BUT}",
        rf"\b(?P<words>{_LIST})\s*\?\s*(?:none|nil|zero|nope|never|no(?!\s+\w)|not\s+(?:a|any|here|in)\b)",
        rf"\b(?P<words>{_LIST})\s*[:=-]\s*(?:none|nil|zero|0|absent|no(?!\s+\w))\b",
        rf"{_OFFER}\b(?:leav(?:e|es|ing)|left|keep|keeps|kept)\s+{_BEFORE}(?P<words>{_LIST})\s+(?:out|off|away)\b",
        rf"{_OFFER}\b(?:(?:leav(?:e|es|ing)|left|cut)\s+out|omit(?:s|ted)?|skip(?:s|ped)?)\s+{_BEFORE}(?P<words>{_LIST})",
        rf"\b(?P<words>{BARE})-?less\b",
        rf"\bnot\s+an?\s+(?:single\s+)?(?P<words>{_LIST})\s+(?:in\s+(?:it|them|here|sight|there)|to\s+be\s+(?:seen|found)|anywhere|inside)\b",
        rf"\b0\s?%\s+(?P<words>{_LIST})",
        rf"\b(?P<words>{_LIST})\s+(?:has|have|had)\s+no\s+(?:place|business|home|part|role)\b",
        rf"\b(?P<words>{_LIST})\s+stays?\s+(?:well\s+)?(?:out|away|off|outside)\b",
        rf"\b(?P<words>{_LIST})\s+(?:is|are|will\s+be|would\s+be)(?:\s+(?:not|never|no)|n['’]t)\s+(?:an?\s+)?(?:problem|issue|worry|concern|trouble)s?\b",
        rf"\b(?P<words>{_LIST})\s+(?:is|are)\s+(?:an?\s+)?things?\s+of\s+the\s+past\b",
        r"\b(?P<all>school[\s-]+(?:safe|friendly))\b",
        r"(?<![^.,;:!?\n])(?P<calm>[^.,;:!?\n]*)\?\s*(?:no|not\s+an?)\s+(?:problem|issue|worr(?:y|ies)|trouble|bother)\b",
        rf"\b(?P<eater>vegans?|vegetarians?|c(?:o?e|œ)liacs?|(?:{WORD}|{_ALLERGIC}\w*)[\s-]+(?:\w+\s+)?{_GUEST})"
        r"\s+(?:(?:is|are)\s+)?(?:\w+\s+)?welcome\b(?!\s+to\b)",
        r"\b(?P<people>(?:good|great|perfect|ideal|right|choice|option|made)\s+for\s+(?P<avoid>[^.;:!?\n]*))",
        rf"\b(?P<avoid>(?:those|people|any(?:one|body)|every(?:one|body)|guests?|some(?:one|body))\s+(?:who|with|allergic|avoiding)\b"
        rf"[^.;:!?\n]{{0,80}}?){_EATS}{_BUT}",
        rf"(?P<theirs>\b(?:every(?:one|body)|any(?:one|body)|(?!(?:We|You|It|This|That|There)\b)(?-i:[A-Z][a-z]+)){_EATS}{_ALL_OF_IT})"
        rf"{_BUT}",
        rf"\b(?P<theirs>(?:{_MAYBE}\s*(?:not|n't)|won't|can't|cannot|never)\s+(?:\w+\s+)?{_HURT}\b){_WHOM}",
        rf"\b(?P<theirs>nothing\s+(?:\w+\s+){{0,4}}?{_MAYBE}\s+(?:\w+\s+)?{_HURT}\b)(?!\s+the\b)",
        rf"\b(?:no|without|zero|free\s+(?:of|from))\s+{_BEFORE}(?P<diet>animal\s+(?:products?|ingredients?|produce))\b",
        r"(?P<short>(?<!\bmy )(?<!\byour )\b(?:GF|DF|NF)\b(?!\s*:)|\b[gdn]\.f\b\.?)",
        rf"(?P<each>\b{_ALL_GUESTS}\s+(?:can|may)\s+(?:\w+ly\s+|also\s+|all\s+)?eat\s+(?:it|this|that|these|those|them)\b){_BUT}",
        r"\b(?P<lepku>bez\s+(?:lepku|glutenu)|bezlepkov\w*|bezglutenow\w*|glutenmentes\w*|gluteeniton\w*)",
        rf"(?<!\w)(?P<spaced>(?:{_SPACED})[\s.-]*(?:f[\s.-]?r[\s.-]?e[\s.-]?e|free|f[\s.-]?r[\s.-]?e[\s.-]?i))(?!\w)",
        rf"\b(?:nothing|no\s+need)\s+(?:\w+\s+)?to\s+worry\b(?:\s+about)?(?P<calm>{_CLAUSE})",
        rf"\b(?:geeignet|unbedenklich|sicher|unproblematisch|veilig|geschikt|sans\s+(?:danger|risque)|conviennent|convient|adaptée?s?"
        rf"|apt[oa]s?|segur[oa]s?|sicur[oi]|adatt[oaie]|adequad[oa]s?)\s+(?:für|voor|pour|para|aux?|à|per|ai|a|agli)\s+"
        rf"(?:die\s+|les\s+|los\s+|las\s+|i\s+|gli\s+|os\s+|as\s+|de\s+|personas\s+|persone\s+|pessoas\s+)?(?P<whom>(?:{any_word(PEOPLE)})\w*|{_PRONOUNS})",
        rf"\b(?P<words>{_LIST})(?!\s+{_ALLERGIC})\s+{SOME % 2}{NOT}\s+{SOME % 2}{_ENTER}\b",
        rf"\b(?:no|zero|without|{NOT})\s+(?:any\s+|a\s+|the\s+|have\s+(?:any\s+|to\s+)?|need\s+to\s+|be\s+)*{_WORRY}\b"
        rf"(?P<risk>{_CLAUSE})",
        r"\b(?P<all>(?:no|zero|without)\s+(?:any\s+|known\s+|possible\s+)*(?:allerg\w+|cross[\s-]?contact"
        r"|cross[\s-]?contaminat\w+|contaminat\w+)(?!\s*[\s-](?:free|safe))\b)",
        r"\b(?P<all>(?:cross[\s-]?contact|cross[\s-]?contaminat\w+|contaminat\w+)\s+(?:is|are|can|does|has)\s*"
        r"(?:\w+\s+){0,2}?(?:impossible|excluded|ruled\s+out|not?t?\b|never|n['’]t|cannot))",
        r"\b(?P<all>(?:cross[\s-]?contact|contaminat\w+)[\s-]?free\b)",
        r"\b(?P<all>allerg\w+\s+(?:is|are)\s+(?:no|not\s+an?|never\s+an?)\s+(?:problem|issue|trouble|worry|concern))",
        rf"\b(?P<all>(?:cater|bake|cook|made|right|good)\s+(?:to|for)\s+(?:all|every|any)\s+(?:\w+\s+)?{_ALLERGIC}\w*)",
        r"(?P<all>(?:\b(?:completely|entirely|perfectly|absolutely|totally|always|fully|quite)|\b100\s?(?:%|percent))\s+safe\b"
        r"|\bhypo-?allergenic\b)",
        r"(?P<diet>(?:\b(?:strictly|entirely|fully|purely|completely|wholly|exclusively|everything\s+(?:\w+\s+){0,3}?(?:is|are)"
        r"|all\s+(?:\w+\s+){0,4}?(?:is|are)|we\s+are(?:\s+an?)?)|\b100\s?(?:%|percent))\s+(?:vegan|vegetarian|plant[\s-]*based)\b)",
        r"\b(?P<diet>(?:vegan|vegetarian|plant[\s-]*based)\s+(?:kitchen|bakery|house|company|business|patisserie|pâtisserie|menu))\b",
        r"\b(?P<diet>vegan|vegetarian|plant[\s-]*based)\b",
        rf"\b(?P<foreign>(?:{any_word(FOREIGN)})(?:n|s|er)?-?(?:frei(?:e[nmrs]?)?|vrije?|fri(?:e|tt)?))\b",
        r"\b(?P<parve>pareve|parve|parev|pareven)\b",
        rf"\b(?:für|fuer|voor|pour|para|per)\s+(?:\w+\s+){{0,2}}?(?P<foreign>(?:{any_word(FOREIGN)})\w*-?allerg\w*)",
        r"\b(?P<whom>(?:zöliakie|zoeliakie|coeliakie|allergiker)\w*)[\s-]*(?:sicher|geeignet|tauglich|freundlich|veilig)\w*",
        rf"\b(?P<foreign>(?:{any_word(FOREIGN)})\w*)[\s-]*(?:sicher|geeignet|veilig)\b",
        rf"\b(?:(?:no|zero|non)-|non\s)(?!vegan|vegetarian|c(?:o?e|œ)liac)(?P<words>{WORD})(?![\s-]*(?:free|safe|{_ALLERGIC}|friendly))",
        r"\b(?P<sober>non[\s-]?alcoholic)\b",
        rf"\b(?:{NOT}|no|nor|without|zero)\s+(?:so\s+much\s+as\s+|even\s+)?(?:an?\s+|any\s+|one\s+)?(?:single\s+|tiny\s+)?{_BIT}\s+of\s+"
        rf"{_BEFORE}(?P<words>{_LIST})(?![\s-]*(?:free|safe|{_ALLERGIC}|friendly))",
        rf"\b(?:ohne|keine?[nr]?|sans|sin|senza|zonder|geen|aucune?|pas|nessun[ao]?|ningun[ao]?)\s+(?:\w+\s+)?{_BIT_ABROAD}\s+"
        rf"(?:von\s+|d[’'e]\s*|di\s+|de\s+|van\s+)?(?P<foreign>(?:{any_word(FOREIGN)})(?:n|s|x|en|er)?\b)",
        rf"(?P<plants>{_PLANTS})",
        rf"\b(?:no|without|zero|free\s+(?:of|from)|{NOT}\s+{SOME % 2}{DOING}"
        r"|ohne|keine?[nr]?|sans|senza|sin|zonder|geen|aucun)\s+(?:any\s+)?"
        rf"(?P<raw>{_RAW_EGG})\b",
        rf"(?P<pregnant>\b{_GOOD}\s+(?:for|with|during|in)\s+(?:\w+\s+){{0,3}}?{_PREGNANT})",
        rf"(?P<pregnant>\b{_PREGNANT}\s+(?:\w+\s+)?(?:{_EATS}|\s*welcome\b)){_BUT}",
        r"(?P<all>\b(?:free\s+(?:of|from)|without|none\s+of|no)\s+(?:(?:all|any|of|the)\s+){0,3}(?:(?:big|top|major|main)\s+"
        r"(?:eight|nine|fourteen|8|9|14)|(?:eight|nine|fourteen|8|9|14)\s+(?:major\s+|main\s+|common\s+|big\s+)?allergens)\b)",
        rf"(?P<all>\b{_GOOD}\s+(?:for|at|in)\s+(?:\w+\s+){{0,2}}?(?:(?:schools?|class|nursery|kindergarten)\s+(?:lunch\w*|snacks?|treats?|bags?)"
        r"|schools?(?=\s*(?:[.,;!\n]|$))|lunch\s?box(?:es)?)\b)",
        r"\b(?P<theirs>safe\s+(?:choice|option|pick|bet|one|treat|dessert|cake|tart)\s+for\s+"
        r"(?:the|your|our|all|both|any|every|them|her|him|you|those|these)\b[^.;:!?\n]{0,60})",
        rf"\b(?P<whom>(?:{any_word(PEOPLE)})\w*)\s+(?:(?!(?:ne|non|no|nicht)\b)\w+\s+){{0,2}}?{_EAT_ABROAD}",
        rf"\b(?:auch|aussi|anche|también|ook)\s+(?:für|fuer|pour|per|para|voor)\s+(?:\w+\s+)?(?P<whom>(?:{any_word(PEOPLE)})\w*)",
        rf"\b(?:ohne|frei\s+von|keine?[nr]?|sans|libres?\s+de|exempte?s?\s+de|sin|senza|sem|zonder|vrij\s+van|geen|aucune?|pas(?=\s+d)"
        rf"|nessun[ao]?|ningun[ao]?|ningún|privi?\s+di|priv[ao]\s+di|exent[ao]s?\s+de)\s+"
        rf"(?:d[’'e]\s*|di\s+|de\s+|trazas\s+de\s+|traces?\s+de\s+|spuren\s+von\s+)?(?!ein\b)(?P<foreign>(?:{any_word(FOREIGN)})(?:n|s|x|en|er)?\b)(?!\s+cru(?:s|d[oaei]s?)?\b)",
    )
)
#: What stands before words that say the contrary: "we cannot promise that anything is free of nuts".
NO_PROMISE: Final = re.compile(
    r"(?:\b(?:cannot|can\s+not|not|never|unable\s+to|nobody\s+can|\w+n['’]t|nicht|non|no|niet|pas|kein\w*)\s+(?:\w+\s+){0,2}?"
    r"(?:promis|guarant|assur|say|claim|be\s+sure|rule\s+out|assum|garant|verspr|promet|asegur|zusich|belov)\w*"
    r"|\b(?:impossible|too\s+small)\s+to\s+(?:promise|guarantee|say|keep|be)"
    r"|\b(?:ask|know|check|see|sure|tell|say|wonder)\s+(?:us\s+|first\s+)*(?:whether|if)"
    r"|\b(?:whether))"
    r"\b(?:(?!\bbut\b|\band\s+(?:we|our|it|all|everything)\b|\b(?:aber|mais|pero)\b)[^.;:!?])*$",
    re.IGNORECASE,
)
#: The same before "free of", "-free" and "suitable for" alone: "nothing here is free of nuts", "not nut-free".
NOT_FREE: Final = re.compile(
    r"(?:\b(?:nothing|none|no\s+\w+)\s+(?:[\w’'-]+\s+){0,4}?(?:is|are|can\s+be|will\s+be)"
    r"|\b(?:not|never|cannot|nor|\w+n['’]t|nicht|niet|pas|non|kein\w*)|\b(?:nichts|nada|rien|niente)\s+(?:\w+\s+){0,3}?(?:ist|es|est|è)"
    r")(?:\s+[\w’'%-]+){0,3}\s*$|\bno(?:\s+(?:dedicated|separate|strictly|truly|fully|certified|special))*\s*$",
    re.IGNORECASE,
)
#: People who are meant when something is safe for them, and every need at once.
EVERYONE: Final = re.compile(
    rf"\b(?:{_ALLERGIC}\w*|everyone|everybody|anyone|anybody|all\s+(?:your\s+|our\s+|the\s+)?(?:guests?|people|diets)|all\s*$"
    r"|all\s+of\s+you)",
    re.IGNORECASE,
)
#: What makes a word that stands for a food part of what somebody cannot eat.
AVOIDS: Final = re.compile(
    rf"\b(?:{_ALLERGIC}\w*|avoid\w*|cannot|can['’]t|must\s+not|without|free|c(?:o?e|œ)liacs?|vegans?|vegetarians?)\b"
    rf"|\b{_ALLERGIC}\w*",
    re.IGNORECASE,
)
#: Words of a diet that, alone, say nothing of all that is made: "we make vegan cakes too".
DIET_WORDS: Final = re.compile(r"vegan|vegetarian|plant[\s-]*based", re.IGNORECASE)
#: What no risk has to be of, to be a claim.
RISKY: Final = re.compile(_RISKY, re.IGNORECASE)
