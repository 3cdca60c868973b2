"""Words of a recipe that speak of heat, in the languages kitchens write: a hint, from whose silence nothing follows.

What is found too much is a question that one tick answers. Words are looked for without their accents, in any case, as
whole words. The lists are our own, from dictionaries by memory, and none is complete.
"""

import re
import unicodedata
from collections.abc import Iterable
from typing import Final

from catalog.recipes.cooked_words import bare_degrees, heat_source

_ENGLISH: Final = (
    r"(re|par)?boil(s|ed|ing)?|(par)?bak(e|es|ed|ing)|(re|par)?cook(s|ed|ing)?|simmer(s|ed|ing)?|scald(s|ed|ing)?"
    r"|(re|pre|over)?heat(s|ed|ing)?|(re)?melt(s|ed|ing)?|molten|fr(y|ies|ied|ying)|roast(s|ed|ing)?"
    r"|carameli[sz](e|es|ed|ing)|pasteuri[sz](e|es|ed|ing)|temper(s|ed|ing)?|poach(es|ed|ing)?|steam(s|ed|ing)?"
    r"|toast(s|ed|ing)?|grill(s|ed|ing)?|blanch(es|ed|ing)?|flamb(e|es|eed)|warm(s|ed|ing)?|hot|microwav(e|es|ed|ing)"
    r"|stove|bain[\s-]?marie|double\sboiler|rolling\sboil|nap(pe|per)|thicken(s|ed|ing)?|bubbl(e|es|ed|ing)"
    r"|coats?\s(the\sback\sof\s)?(the|a)\sspoon"
)
_GERMAN: Final = (
    r"(auf|ein|ab|ver|durch)?(ge)?koch(e|en|t|end)?|ko?chel\w*|sied\w*|(an|auf|aus|ein)?(ge)?back(e|en|t)"
    r"|(an|fertig|vor)?backen|(an|auf|aus|vor)?gebacken|erhitz\w*|erwarm\w*|aufwarm\w*|warm\w*|hei(ss|ß)\w*|(ge)?schm[eo]lz\w*"
    r"|(an|ge)?(ge)?rost(e|en|et)|(an|ge)?(ge)?brat(e|en)|frittier\w*|karamellisier\w*|pasteurisier\w*|temperier\w*"
    r"|pochier\w*|blanchier\w*|dampf(e|en)|gedampft|uberbruh\w*|abflamm\w*|wasserbad|zur\srose|(ein|an|ab)dick\w*|eingedickt|blubber\w*|aufwall\w*"
)
_FRENCH: Final = (
    r"bouill\w*|ebullition|cui(re|s|t|te|ts|tes|sez|sent|sson)|(re|pre)?chauff\w*|fond(re|s|ez|u|ue|us|ues)|fri(re|t|te|ts|tes)"
    r"|rot(ir|i|ie|is|ies)|grill(er|e|ee|es|ees|ez)|torrefi\w*|pasteuris\w*|caramelis\w*|poch(er|e|ee|es|ez)|mijot\w*"
    r"|fremi\w*|enfourn\w*|au\sfour|chaude?s?|tempera(ge|nt)|tempere[rz]?|nappe|epaissi\w*|(a|la)\snappe|fremissement|bouillonn\w*"
)
_ITALIAN: Final = (
    r"boll(ire|e|ito|ita|ente|itura|i)|bollitura|sobboll\w*|cuoc\w+|cott[oaie]|cottura|scald\w+|riscald\w+"
    r"|fonder?e|fus[oaie]|sciogli\w*|sciolt[oaie]|frigg\w+|fritt[oaie]|arrost\w+|tost(are|ato|ata|ati|ate)|caramell\w+"
    r"|pastorizz\w+|temper(are|ato|ata)|al\sforno|inforn\w+|cald[oaie]|bagnomaria|addens\w+|velare?\sil\scucchiaio|bollicine"
)
_SPANISH: Final = (
    r"herv\w+|hierv\w+|ebullicion|coc(er|ed|ido|ida|idos|idas|inar|inado|ina|cion|iendo)|cuec\w+|horne\w+|al\shorno"
    r"|(re|pre)?calent\w+|(re|pre)?calient\w+|escald\w+|derret\w+|derrit\w+|fundi(r|do|da|dos|das)|fre(ir|imos)|fri(e|endo|to|ta)"
    r"|asar|asad[oa]s?|tost(ar|ado|ada|ados|adas)|carameliz\w+|pasteuriz\w+|templar|bano\smaria|al\sfuego|espes(ar|e|a|ado|ada)|burbuj\w+|nap(ar|e)\sla\scuchara"
)
_DUTCH: Final = (
    r"(op|in|af)?ko(ok|ken|okt|kend)|(op|in|af)?gekookt|(af|voor)?bak(ken|t)|(af|voor)?gebakken|verhit\w*|(op|ver)warm\w*"
    r"|smelt\w*|gesmolten|brad(en)|gebraden|rooster(en|t)|geroosterd\w*|frituur\w*|gefrituurd\w*|karamellis\w*|pasteuris\w*"
    r"|temperer\w*|pocher\w*|sudder\w*|heet|hete|au\sbain|indikken|bind(en|t)|borrel\w*|pruttel\w*"
)
_HEAT: Final = re.compile(rf"\b({'|'.join((_ENGLISH, _GERMAN, _FRENCH, _ITALIAN, _SPANISH, _DUTCH))})\b", re.IGNORECASE)


#: What a step is called that heats: work in the present, not food that was hot before, such as baked crumbs.
_HEATS: Final = re.compile(
    r"\b((re|par)?boil|(par)?bake|cook(\sout)?|simmer|scald|(re|pre)?heat|fry|roast|caramelize|caramelise|pasteurize"
    r"|pasteurise|poach|steam|thicken|coats?\s(the\sback\sof\s)?(the|a)\sspoon|until\sit\s(bubbles|boils|thickens)"
    r"|(auf|ein)?kochen|aufkochen|backen|erhitzen|eindicken|andicken|rosten|zur\srose"
    r"|bouillir|cuire|chauffer|rechauffer|fremir|mijoter|epaissir|a\sla\snappe|torrefier|rotir"
    r"|bollire|cuocere|scaldare|riscaldare|sobbollire|addensare|infornare|friggere"
    r"|hervir|cocer|calentar|hornear|espesar|freir|escaldar"
    r"|koken|bakken|verhitten|opwarmen|indikken|roosteren|pocheren"
    # Warmed, melted, tempered, infused, or over hot water.
    r"|(re)?warm|(re)?melt|temper|(?<!cold[\s-])infuse|scalding|simmering|bain[\s-]?marie|double[\s-]boiler"
    r"|(?<!ice[\s-])(?<!cold[\s-])water[\s-]bath|dissolve\b[^.;]*\bgelatine?"
    r"|((er|auf|an)?warmen|schmelzen|temperieren|simmern|sieden|kocheln|uberbruhen|wasserbad|gelatine\b[^.;]*\bauflosen)"
    r"|(fondre|tiedir|temperer|infuser|ebouillanter|echauder|dissoudre\b[^.;]*\bgelatine)"
    r"|(fondere|sciogliere|intiepidire|temperare|bagnomaria|disciogliere|in\sinfusione|scottare)"
    r"|(derretir|fundir|entibiar|templar|infundir|infusionar|bano\smaria|a\sfuego\slento|disolver\b[^.;]*\bgelatina)"
    r"|((ver)?warmen|smelten|tempereren|infuseren|sudderen|pruttelen|gelatine\b[^.;]*\boplossen))\b",
    re.IGNORECASE,
)

#: A temperature in a step's words: a number and its unit, or degrees without one.
_DEGREES: Final = re.compile(
    r"(?<![\d.,])(?P<number>\d{2,3}([.,]\d+)?)\s*"
    r"((°|(degrees?|deg|degres?|grad[oi]?s?|graden)\b)\s*(?P<after>F|C|fahrenheit|celsius)?"
    r"|(?P<unit>F|C|fahrenheit|celsius))(?!\w)",
    re.IGNORECASE,
)
#: Food in the making that is so warm was heated [°C]; own choice.
HOT_FROM_C: Final = 50


#: What a step is called that heats a surface alone.
_TORCHES: Final = re.compile(
    r"\b((blow)?torch(es|ed|ing)?|flamb(e|es|eed|ieren)|abflammen|abbrennen|flamber|flambare|flamear|flamberen)\b",
    re.IGNORECASE,
)


def step_heats(name: str, text: str, degrees: str) -> bool:
    """Return whether a step says that it heats: by a word of its name, a temperature, a bare number or a heat source.

    ``degrees`` are the kitchen's own, F or C.
    """
    both = (name, text)
    return bool(heating_word(name) or hot_reading(both) or heat_source(both) or bare_degrees(both, degrees))


def torching_word(name: str) -> str:
    """Return the word of a step's name that says that a flame goes over it; empty where none does."""
    found = _TORCHES.search(unaccented(name))
    return "" if found is None else found.group()


def heating_word(name: str) -> str:
    """Return the word of a step's name that says that it heats; empty where none does."""
    found = _HEATS.search(unaccented(name))
    return "" if found is None else found.group()


def hot_reading(texts: Iterable[str]) -> str:
    """Return the first temperature in some texts at which food is hot, as it is written; empty where there is none.

    A number of degrees without a unit counts as hot where it is so in one of the two.
    """
    found = (match for text in texts for match in _DEGREES.finditer(unaccented(text)))
    return next((match.group().strip() for match in found if _celsius(match) >= HOT_FROM_C), "")


def _celsius(found: re.Match[str]) -> float:
    number = float(found["number"].replace(",", "."))
    unit = (found["after"] or found["unit"] or "C").upper()
    return (number - 32) * 5 / 9 if unit.startswith("F") else number


def heat_word(texts: Iterable[str]) -> str:
    """Return the first word of some texts that speaks of heat, as it is written; empty where there is none."""
    found = (_HEAT.search(unaccented(text)) for text in texts)
    return next((match.group() for match in found if match is not None), "")


def unaccented(text: str) -> str:
    """Return a text without its accents."""
    return "".join(each for each in unicodedata.normalize("NFKD", text) if not unicodedata.combining(each))
