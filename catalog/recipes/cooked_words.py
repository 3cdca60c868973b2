"""How a cook writes that something is hot without a word of heat: a bare number, a heat source, a cooked preparation.

“Bring up to 180 and hold”, “90/8 min”, “Induction 6”, “the anglaise as usual”. What is found too much is a question
that one line answers. Words are looked for without their accents, as whole words, in English, German, French, and some
of Italian, Spanish and Dutch. The lists are our own, from dictionaries by memory, and none is complete.
"""

import re
import unicodedata
from collections.abc import Iterable
from typing import Final

#: What heats: never a name of food.
_SOURCES: Final = re.compile(
    r"\b(induction|hobs?|burners?|stove(\s?tops?)?|cook\s?tops?|hot\s?plates?|bain[\s-]?maries?|double[\s-]boilers?"
    r"|steam(ed|ers?|ing)?|flames?|gas\s(mark|ring|hob)|microwaves?|heat\sgun|((low|medium|high|gentle)[\s-])heat"
    r"|induktion\w*|herd(platte)?|kochfeld|kochplatte|gasflamme|flamme|bunsenbrenner|gasbrenner|brenner|wasserbad|dampf"
    r"|dampfgarer|mikrowelle"
    r"|plaques?\s(de\scuisson|a\sinduction)|feux?\s(doux|moyen|vif)|(au|sur\sle|sur)\sfeu|gaz|a\sla\svapeur|vapeur"
    r"|micro-?ondes?|chalumeau|induzione|fornello|fiamma|fuoco\s(basso|medio|alto|lento)|sul\sfuoco|vapore|microonde"
    r"|induccion|fogon|hornilla|llama|fuego\s(bajo|medio|alto|lento)|vapor|microondas"
    r"|inductie|fornuis|kookplaat|vlam|stoom|magnetron)\b",
    re.IGNORECASE,
)

#: By what a cook sees that it is hot, and short words for a microwave or a heated mixing bowl.
_SIGNS: Final = re.compile(
    r"\b(in(to)?\s(the\s)?micro(?![\s-]?(greens?|herbs?|cress|basil|mint|plane))|micro\s\d+|bain(?!s?\s(froid|glace|d.eau\s(froide|glacee)|de\s(glace|trempage)))"
    r"|nap(pe|per|pes)|(soft|firm|hard)[\s-]ball|(soft|hard)[\s-]crack|threads?[\s-]stage|to\s(the\s|a\s)?(soft\s|short\s|long\s)?threads?"
    r"|varoma|shiver(s|ing)?|first\s(blips?|bubbles?)|blips?|zap(s|ped)?|(?<!cold[\s-])(steep|infuse)(ing)?(?![^.;]*\bcold\b)"
    r"|(petit|grand)\s(boule|casse)|filet(?=\s(au|de\ssucre))|starke[rn]?\sflug)\b",
    re.IGNORECASE,
)
#: Egg that is whisked over heat falls off the whisk as a ribbon.
_RIBBON: Final = re.compile(
    r"(?<!tie\s)(?<!satin\s)(?<!silk\s)(?<!the\scake\s)\b(ribbons?(\sstage)?|ruban|zum\sband|nastro|punto\sde\scinta|lint)\b",
    re.IGNORECASE,
)

#: What is cooked as a rule, by its name; the word is followed by nothing that makes it a bought powder.
_PREPARATIONS: Final = re.compile(
    r"\b(anglaises?|patissieres?|pastry\screams?|curds?|custards?|zabagliones?|zabaione|sabayons?|ganaches?"
    r"|caramels?|butterscotch|dulce\sde\sleche|syrups?|jams?|marmalades?|compotes?|coulis|roux|choux|panades?|puddings?"
    r"|bechamels?|veloutes?|(swiss|italian)\smeringues?|pates?\sa\sbombe|gelees?|jell(y|ies)|pannacotta|panna\scotta"
    r"|creme\s(brulee|caramel)|brulees?|semolina|blancmange"
    r"|vanillecreme|konditorcreme|englische\screme|grundcreme|karamell?|sirup|konfitüre|konfiture|marmelade|kompott"
    r"|mehlschwitze|brandteig|brandmasse|schweizer\s(baiser|meringue)|italienische\smeringue|baiser\sitalienisch|gelee"
    r"|weinschaum|griess|griesbrei|eierstich"
    r"|sirops?|confitures?|pate\sa\schoux|meringue\s(suisse|italienne)|flans?|crema\s(pasticcera|inglese|pastelera)"
    r"|banketbakkersroom|vla)\b(?![\s-]*(powder|mix|pulver|poudre|sugar))",
    re.IGNORECASE,
)

#: That something is made, and what follows it.
_MADE: Final = re.compile(
    r"\b(make|cook|prepare|do|mach(e|en)?|zubereiten|herstellen|faire|preparer)\s((the|a|an|our|die|den|das|eine?n?|la|le|les"
    r"|une?)\s)?(?P<what>\w+(\s\w+){0,2})",
    re.IGNORECASE,
)

#: A number of two or three digits that is no part of another, of a time, of a measure across or of a serial number.
_NUMBER: Final = re.compile(
    r"(?<![\w.,:#×$€£%])(?<!\bno\.\s)(?<!\bno\s)(?<![x×]\s)(?P<number>\d{2,3}([.,]\d+)?)(?![\w:×%])(?!\s*[x×]\s*\d)",
    re.IGNORECASE,
)
#: What a cook writes before a temperature: “up to 180”, “at 82”, “bis 84”, “jusqu'à 83”.
_BEFORE: Final = re.compile(
    r"(\b(to|at|until|till|reach(es)?|hits?|past|above|beyond|around|about|hold|auf|bei|bis|zu|ca|etwa|a|à|vers|fino|al|hasta|tot|op|temp"
    r"|temperature|core|kern|kerntemperatur)|[@>≥~'’–-]|^)[\s.:=]*$",
    re.IGNORECASE,
)
#: What no temperature is followed by: units and countable things.
_COUNTED: Final = re.compile(
    r"^(\s*([-–]|to\b|bis\b|a\b)\s*\d+)?\s*(-\s*)?(k?g|mg|grams?|gr|kilos?|lbs?|pounds?|oz|ounces?|[mcd]?l|lit(er|re)s?|qts?|quarts?|cups?|tbsp|tsp|[cm]?m|cm|mm"
    r"|inch(es)?|in(?!\s+(the|a|an|its|one|small|batches)\b)|ft|mins?|minutes?|minuten|h|hrs?|hours?|std|stunden|heures?|secs?|seconds?|sekunden|secondes?|s|days?"
    r"|tage|jours?|rpm|u/min|tours?|bloom|brix|w|watts?|%|percent|prozent|pour\scent|°\s*brix|per|each|times|x|more|pieces?|pcs?"
    r"|portions?|servings?|guests?|cakes?|cups|covers?|stuck|st|portionen|pieces|parts|tubs?|pans?|trays?|molds?|moulds?"
    r"|tarts?|tartlets?|glasses|bowls?|sheets?|shells?|cases?|boxes|eggs?|yolks?|whites?|turns?|strokes?|pulses?|ml)\b",
    re.IGNORECASE,
)
#: What may follow a temperature that nothing stands before: the end, a sign, or a word that is no thing.
_AFTER: Final = re.compile(
    r"^\s*($|[.,;:!?)/&+-]|\b(and|then|until|for|with|while|or|whisking|stirring|hold|und|dann|bis|mit|oder|et|puis|avec|ou"
    r"|e|poi|con|y|luego|en|dan|met)\b)",
    re.IGNORECASE,
)
#: Temperature and minutes in one, as a heated mixing bowl is set: “90/8 min”, in °C or °F.
_PROGRAM: Final = re.compile(r"(?<![\d.,/])(?P<number>\d{2,3})\s*/\s*\d{1,3}\s*(min\w*|['’′]|m\b)", re.IGNORECASE)
#: Numbers that are taken for a temperature of cooking [°F], [°C]; own choice.
COOKED_F: Final = (140, 250)
COOKED_C: Final = (60, 120)


def heat_source(texts: Iterable[str]) -> str:
    """Return the first word of some texts that names what heats, as it is written; empty where there is none.

    So does the sign by which a cook sees that it is hot, such as “nappe” or “soft ball”.
    """
    plain = map(_plain, texts)
    return next((found.group() for text in plain if (found := _SOURCES.search(text) or _SIGNS.search(text))), "")


def ribbon_word(texts: Iterable[str]) -> str:
    """Return the first word of some texts for the ribbon of whisked egg; it speaks of heat only where egg is in it."""
    return next((found.group() for text in texts if (found := _RIBBON.search(_plain(text)))), "")


def cooked_preparation(texts: Iterable[str], *, but: Iterable[str] = ()) -> str:
    """Return the first word of some texts for what is cooked as a rule; empty where there is none.

    ``but`` are names of what goes in ready made: a preparation that one of them has in it speaks of that.
    """
    ready = {word.casefold() for name in but for word in _preparations(name)}
    every = (word for text in texts for word in _preparations(text))
    return next((word for word in every if word.casefold() not in ready), "")


def preparation_made(text: str, *, but: Iterable[str] = ()) -> str:
    """Return the words by which a text says that what is cooked as a rule is made; empty where it does not.

    “Make the anglaise”; “Fold in the lemon curd” says no such thing. ``but`` as in ``cooked_preparation``.
    """
    ready = {word.casefold() for name in but for word in _preparations(name)}
    every = ((found, _preparations(found["what"])) for found in _MADE.finditer(_plain(text)))
    return next((found.group().strip() for found, of in every if of and of[0].casefold() not in ready), "")


def bare_degrees(texts: Iterable[str], degrees: str) -> str:
    """Return the first bare number of some texts that can be a temperature of cooking; empty where there is none.

    ``degrees`` are the kitchen's own, F or C. What is counted or measured is none.
    """
    return next((found for text in texts if (found := _bare(_plain(text), degrees))), "")


def _bare(text: str, degrees: str) -> str:
    for found in _PROGRAM.finditer(text):
        if _within(found["number"], COOKED_C) or _within(found["number"], COOKED_F):
            return found.group()
    most = COOKED_C if degrees == "C" else COOKED_F
    for found in _NUMBER.finditer(text):
        before, after = text[: found.start()], text[found.end() :]
        named = bool(_BEFORE.search(before)) or bool(_AFTER.search(after))
        if _within(found["number"], most) and named and not _COUNTED.search(after):
            return found.group()
    return ""


def _within(number: str, bounds: tuple[int, int]) -> bool:
    return bounds[0] <= float(number.replace(",", ".")) <= bounds[1]


def _preparations(text: str) -> list[str]:
    return [found.group() for found in _PREPARATIONS.finditer(_plain(text))]


def _plain(text: str) -> str:
    return "".join(each for each in unicodedata.normalize("NFKD", text) if not unicodedata.combining(each))
