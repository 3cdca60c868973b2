"""Why a recipe that is cooked as a rule is never hot: what is used instead of cooking, named in the owner's words.

Named are pasteurized eggs, a starch that swells cold, what is bought ready made, what is raw on purpose, or “no heat”
with an ingredient of the recipe. A word of cooking or cooling in it contradicts it. Milk and cream are pasteurized as a
rule, so that says nothing. The lists are our own, from dictionaries by memory (English, German, French, Spanish,
Italian, Dutch), and none is complete.
"""

import re
import unicodedata
from collections.abc import Iterable
from typing import Final

from catalog.recipes.heat_words import heat_word

#: What is used instead of cooking.
_INSTEAD: Final = re.compile(
    r"\b(pasteuri[sz]\w*|pastorizzat\w*|gepasteuriseerd\w*|(heat|warme|hitze)[\s-]?(treated|behandelt\w*)"
    r"|(?<!an\s)instant|istantane\w*|instantane\w*|(cold|kalt)[\s-]?(swell\w*|quell\w*|bind\w*|set(s|ting)?|thicken\w*)"
    r"|swells?\s(in\s(the\s)?)?cold|kaltquell\w*|gonfl\w*\sa\sfroid|a\sfroid|a\sfreddo|en\sfrio|koudzwellend\w*|koudbindend\w*"
    r"|pre-?gelatini[sz]\w*|pregelatini[sz]\w*|vorverkleister\w*|pregelifi\w*|pregelatin\w*|voorverstijfsel\w*"
    r"|ready[\s-](made|to[\s-]use)|bought|store-?bought|fertig(produkt\w*|ware|\sgekauft)|gekauft\w*|zugekauft\w*"
    r"|achet\w*|pret\sa\sl.emploi|tout\spret|comprad\w*|comprat\w*|(in|aan)gekocht\w*|kant-?en-?klaar"
    r"|raw\s(on\spurpose|by\sintent)|(absichtlich|bewusst)\sroh|cru\sexpres|volontairement\scru\w*"
    r"|crud[oaie]\s(a\sproposito|di\sproposito|adrede)|bewust\srauw|opzettelijk\srauw)\b",
    re.IGNORECASE,
)
#: That milk is pasteurized is no news, nor that what is cooked was bought.
_MILK: Final = re.compile(
    r"\bpasteuri[sz]\w*\s((whole|fresh|full|heavy|fat|skim\w*)\s)*(milk|cream|dairy|juices?|butter)\b"
    r"|\bbought\s((the|our|fresh|whole|corn)\s)*(milk|cream|eggs?|yolks?|starch|cornstarch|butter|sugar|juice)\b"
    r"|\b(milk|cream|butter|juices?)\s((is|are|was)\s)?pasteuri[sz]\w*"
    r"|\bpasteurisierte\w*\s(milch|sahne|rahm|butter)\b|\b(lait|creme|jus)\spasteuris\w*|\b(latte|panna)\spastorizzat\w*"
    r"|\b(leche|nata)\spasteurizad\w*|\bgepasteuriseerde\s(melk|room)\b",
    re.IGNORECASE,
)
#: That there is no heat: it counts beside the word of an ingredient.
_NO_HEAT: Final = re.compile(
    r"\b(no|without(\sany)?|never|not|zero|ohne|keine?|nicht|nie|sans|non|jamais|pas\sde|senza|mai|sin|nunca|zonder|geen|niet"
    r"|nooit|instead\sof|rather\sthan|statt|anstatt|au\slieu\sde|invece\sdi|en\svez\sde|en\slugar\sde|in\splaats\svan)\s"
    r"(being\s|to\sbe\s|zu\s)?(heat|hitze|chaleur|calore|calor|warmte|hitte|\w+)",
    re.IGNORECASE,
)
#: What a reason says where something is cooked after all, beside the words of heat.
_COOLS: Final = re.compile(
    r"\b(cool(s|ed|ing)?|chill(s|ed|ing)?\s(it\s)?(fast|down|quickly)|ice\sbath|hitze|chaleur|calore|calor|hitte"
    r"|(ab)?kuhl(en|t)|abgekuhlt|refroid\w*|raffredd\w*|enfri\w*|(af)?koel(en|t)|afgekoeld)\b",
    re.IGNORECASE,
)
_PASTEURIZED: Final = re.compile(
    r"\b(pasteuri[sz]\w*|pastorizz\w*|gepasteuriseerd\w*|(heat|warme|hitze)[\s-]?(treated|behandel\w*))",
    re.IGNORECASE,
)
_WORD: Final = re.compile(r"[^\W\d_]{3,}")


def says_cooked(reason: str) -> str:
    """Return the word of a reason that says that it is cooked or cooled after all; empty where none does."""
    left = without_denials(reason)
    found = _COOLS.search(left)
    return heat_word([left]) or (found.group() if found else "")


def without_denials(text: str) -> str:
    """Return a text, without its accents, less what says that there is no heat, or that something is pasteurized."""
    return _NO_HEAT.sub(" ", _PASTEURIZED.sub(" ", _plain(text)))


def names_what_instead(reason: str, ingredients: Iterable[str]) -> bool:
    """Return whether a reason names what is used instead of cooking, and no cooking.

    ``ingredients`` are the names of what goes in.
    """
    plain = _plain(reason)
    if says_cooked(reason):
        return False
    if _INSTEAD.search(_MILK.sub(" ", plain)):
        return True
    of_recipe = {word for name in ingredients for word in _stems(_plain(name))}
    return bool(_NO_HEAT.search(plain)) and bool(_stems(plain) & of_recipe)


def _stems(plain: str) -> set[str]:
    """Return the words of a text, one and several of a thing alike."""
    return {word.casefold().rstrip("sne") for word in _WORD.findall(plain)}


def _plain(text: str) -> str:
    return "".join(each for each in unicodedata.normalize("NFKD", text) if not unicodedata.combining(each))
