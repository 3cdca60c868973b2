"""Words for heat in a recipe that is marked as never hot: read more strictly than elsewhere, notes included.

Here a word that is found too much costs one rewording, and one that is missed may leave a boiled cream unjudged. The
lists are our own, from dictionaries by memory (English, German, French), and none is complete: a review names each such
recipe with its steps as well (`never_hot_claims`).
"""

import re
from collections.abc import Iterable
from typing import Final

from catalog.recipes.cooked_words import preparation_made
from catalog.recipes.heat_words import step_heats, torching_word, unaccented
from catalog.recipes.no_heat import without_denials

#: Tools that heat, and signs by which a cook sees that it is hot. A cold water bath and a gas whipper are none.
_STRICT: Final = re.compile(
    r"\b(sous[\s-]?vide|circulators?|roner|nuk(e|es|ed|ing)|reduc(e|es|ed|ing|tion)(?!\s(the\s)?(speed|mixer|size|waste))"
    r"|salamanders?|combi|(pressure|rice)[\s-]cook\w*|canners?|autoclaves?|instant\s?pot|ovens?|broil\w*|griddles?|skillets?"
    r"|on\s(the\s)?(gas|range|fire)|low\s(gas|fire|flame)|gas\son"
    r"|(sauce\s?|sauté\s?|saute\s?)pans?|(pan|pot|copper)\son|on\s(with\s)?(the\s)?(pan|pot)|in\s(the|a)\s(copper|pot)"
    r"|(pan|pot|bowl)s?\sof\s(?!(cold|iced?|chilled)\b)(\w+\s)?water|over\s(?!(cold|iced?|chilled)\b)(the\s)?water"
    r"|kettles?|thermomix|bimby|rose\s(stage|point)|trembl(e|es|ing)|wobbl\w*|jiggl\w*|quiver\w*|low\s(and|&)\sslow"
    r"|leaves?\sa\strail|(first|a)\sblubs?|blubs?|roll\s(it\s)?for|tick(s|ing)?\sover|(till|until)\s(it\sis\s)?thick"
    r"|einreduzier\w*|reduzier(en|t)|salamander|kombidampfer|schnellkochtopf|dampfdruck|(topf|kessel)\sauf|(ofen|herd)\w*"
    r"|wasserkocher|zur\srose\w*|stock(en|t)(\slassen)?|gestockt|tauchsieder|uber\s(dem\s)?(dampf|wasser)|ein(ge)?koch\w*"
    r"|bis\s(es|sie|er)\s(dick|bindet|stockt)|zittert|aufsetzen"
    r"|redui(re|s|sez|t|te)|reduction|salamandre|cocotte|casserole|bouilloire|thermoplongeur|four|tremblot\w*|frissonn\w*"
    r"|jusqu.a\s(ce\sque\sca\s)?(prenne|epaiss\w*)|sur\sle\sgaz|au\sgaz)\b",
    re.IGNORECASE,
)
#: A bare number and what makes it a temperature: “82 for 10 sec”, “until 85”. Numbers of rooms are none.
_BARE: Final = re.compile(
    r"(?<![\w.,:#×$€£%])(?P<number>\d{2,3})(?=\s(for|fur|pendant|pour)\s\d|\s*$|\s*[.,;](?!\d))(?![\w:×%])",
    re.IGNORECASE,
)
_UNTIL: Final = re.compile(r"\b(until|till|to|at|hits?|reach(es)?|bis|auf|bei|jusqu.a|a)\s*$|^\s*$", re.IGNORECASE)
#: Bare numbers that are taken for a temperature of cooking, °C or °F whatever the kitchen's own; own choice.
_COOKED: Final = ((78, 120), (140, 250))


def heat_claimed_away(name: str, texts: Iterable[str], degrees: str, ready: Iterable[str] = ()) -> str:
    """Return the words of a step or a note that speak of heat in what is marked as never hot; empty where none do.

    ``name`` is the step's, empty for a note; ``texts`` what else it says. ``degrees`` are the kitchen's own, F or C,
    and ``ready`` names of what goes in ready made. What says that there is no heat is no heat.
    """
    goods = list(ready)
    for text in filter(None, map(str.strip, (name, *texts))):
        left = without_denials(text)
        found = _STRICT.search(left)
        word = found.group() if found else _bare(left) or torching_word(left) or preparation_made(left, but=goods)
        if word or step_heats(left, "", degrees):
            return word or text[:120]
    return ""


def _bare(text: str) -> str:
    for found in _BARE.finditer(unaccented(text)):
        cooked = any(least <= int(found["number"]) <= most for least, most in _COOKED)
        timed = bool(re.match(r"\s(for|fur|pendant|pour)\s", text[found.end() :], re.IGNORECASE))
        if cooked and (timed or _UNTIL.search(text[: found.start()])):
            return found.group()
    return ""
