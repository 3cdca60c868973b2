"""What a source rests on that says that a recipe is safe at room temperature: a measured value, an assessment, a label.

A value is held to table B of the definition of food that needs time/temperature control for safety (US Food Code 2022,
1-201.10(B)), that for food that is not heat-treated or not packaged after it; its figures were read in state rules that
copy it (Tennessee Rules 0080-04-09-.01, 25 Texas Administrative Code 228.2(144)). Table A, for what is heat-treated in
its package, allows more: that is for an assessment. A water activity by itself counts to 0.85 and not to the table's
0.88: that leaves room for the meter's error (own choice; 0.85 is the figure of older editions, from memory).

An older row may have words that rest on none of them. They count as before (`perishables.names_a_source`), and are
asked again when the recipe is saved or a quote with it is sent.
"""

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, Literal

from costing.contract import Recipe

#: The most water activity that counts where no pH stands beside it.
ACTIVITY_ALONE: Final = Decimal("0.85")
#: Table B: to this pH at most (below the first, which has no limit of water activity) -> to this water activity.
_BELOW: Final = Decimal("4.2")
_TABLE_B: Final = ((Decimal("4.6"), Decimal("0.92")), (Decimal("5.0"), Decimal("0.90")))

Lacks = Literal["", "basis", "who_when", "activity", "ph", "both", "hearsay", "denies", "label_mixed"]

#: A value, or a range of two.
_TO: Final = r"(?P<value>{0})(?!\d)(?:\s*(?:to|and|bis|-|–)\s*(?P<to>{0})(?!\d))?"
_ACTIVITY: Final = re.compile(
    r"\b(?:water\s+activity|a\s?[_-]?\s?w|aw-wert|wasseraktivitat|activite\s+de\s+l.eau|attivita\s+dell.acqua"
    r"|actividad\s+de\s+agua|wateractiviteit)\b[^\d;.]{0,20}?(?<![\d.,])" + _TO.format(r"(?:[01])?[.,]\d{1,3}|[01]"),
    re.IGNORECASE,
)
_PH: Final = re.compile(r"\bph\b[^\d;.]{0,20}?" + _TO.format(r"\d{1,2}(?:[.,]\d{1,2})?"), re.IGNORECASE)
#: Any other figure that can be one of the measure: a second sample, what was read beside the buffer. A date is none.
_FIGURE: Final = re.compile(r"(?<![\d.,/-])(?:\d{1,2})?[.,]\d{1,3}(?![\d]|[./-]\d|\s*(?:[°%]|deg|min|h\b|k?g\b|lb|oz))")
_MORE: Final = re.compile(r"\s*(?:\([^)]*\)\s*)?(?:and|or|to|und|bis|&|-|–)\s*(\d{1,2})(?![\d.,/-])")
#: What says that it needs no cold, or that a value stays below a limit: no denial.
_NO_DENIAL: Final = re.compile(
    r"\bun-?refrigerated\b|\bno[nt]?[\s-]+(?:a\s+)?(?:tcs|perishable|potentially\s+hazardous)\b"
    r"|\b(?:no|without|not?\s+need\w*|do(?:es)?\s+not\s+(?:need|require)|(?:need|require)s?\s+no)\s+(?:any\s+|to\s+be\s+)?"
    r"(?:refrigerat\w*|chill\w*|cool\w*)|\b(?:not\s+(?:more|above|over|higher)|no\s+(?:more|higher))\s+than\b"
    r"|\b(?:does|did|do)\s+not\s+exceed\b|\bno\s+(?:growth|pathogen\w*)|\bno\.?\s*(?=[\dA-Z]*\d)",
    re.IGNORECASE,
)
#: What says the contrary of safe at room temperature; whoever reads a text that has one would have to judge it.
_DENIES: Final = re.compile(
    r"\b(?:not?|never|cannot|neither|nor|fail(?:s|ed)?|unless|except|until|unsafe|unstable|unsuitable|colder|cold|refrigerat\w*|fridge|chill\w*"
    r"|perishable|tcs|hazard\w*|nicht|nie|kein\w*|unsicher|gekuhlt|kuhl\w*|kalt\w*|pas|non|froid\w*|frais)\b|n[’']t\b",
    re.IGNORECASE,
)
_YEAR: Final = re.compile(r"(?<![\d.,])(?:19|20)\d\d(?![\d])|\b\d{1,2}[./-]\d{1,2}[./-](?:19|20)?\d{2}\b")
_WORD: Final = re.compile(r"[^\W\d_]{2,}")
#: Words of a measurement that name nobody.
_NOBODY: Final = re.compile(
    r"\b(water|activity|aw|ph|at|and|the|of|by|in|on|measure\w*|test\w*|report|number|value|was|is|it|january|february"
    r"|march|april|may|june|july|august|september|october|november|december|jan|feb|mar|apr|jun|jul|aug|sept?|oct|nov"
    r"|dec|me|myself|us|we|our|my|own|about|around|below|under|most|degrees)\b",
    re.IGNORECASE,
)
_PUBLISHED: Final = re.compile(
    r"\b(labs?|laborator\w*|laborbericht\w*|laborbefund\w*|prufbericht\w*|laboratoire|authorit\w*|agenc\w*|department"
    r"|ministry|inspector\w*|inspectorate|health|council|county|university|institute|food\s+code|law|regulation\w*"
    r"|ordinance|standard|fda|usda|efsa|fsanz|cfia|behorde|gesundheitsamt|veterinaramt|verordnung|gesetz|gutachten"
    r"|certificate|zertifikat|isbn|doi|journal|bulletin|extension|guideline\w*|handbook|https?://\S+)(?!\w)",
    re.IGNORECASE,
)
_LABEL: Final = re.compile(r"\b(labels?|labelled|labeled|packet|package|packaging|etikett|etiquette)\b", re.IGNORECASE)
_KEEPS: Final = re.compile(
    r"\b(shelf[\s-]?stable|room\s+temperature|ambient|unrefrigerated|no\s+refrigeration|cool,?\s+(and\s+)?dry"
    r"|dry,?\s+(and\s+)?cool|dry\s+place|pantry|raumtemperatur|ungekuhlt|temperature\s+ambiante)\b",
    re.IGNORECASE,
)
#: Who is no source, whatever stands beside it; own list, not whole.
_HEARSAY: Final = re.compile(
    r"\b((great-?)?(grand)?(mother|father|ma|pa|mom|mum|dad)(.?s)?|granny|nan|nonna|oma|opa|grandmere|aunt\w*|uncle\w*"
    r"|famil\w*|tradition\w*|(long\s+)?experience|always|everybody|everyone|years\s+of|never\s+(had|made|hurt))\b",
    re.IGNORECASE,
)
#: What is not known, or not yet.
_UNSURE: Final = re.compile(
    r"\b(assum\w*|guess\w*|estimat\w*|probabl\w*|presum\w*|should\s+be|will\s+be|to\s+be\s+(tested|measured)|untested|unmeasured"
    r"|not\s+(yet\s+)?(been\s+)?(tested|measured|known|checked)|typical\w*|usually|geschatzt|vermut\w*)\b",
    re.IGNORECASE,
)
#: A measure that is named, and no value of it that can be read.
_NO_VALUE: Final = re.compile(r"\b(water\s+activity|aw|ph)\b", re.IGNORECASE)
#: An assessment has at least so many letters beside its number or date; own choice: no name with one is shorter.
_LONG_ENOUGH: Final = 12


@dataclass(frozen=True, slots=True)
class Basis:
    """What a source rests on; ``lacks`` says what is missing for it to count, empty where nothing is."""

    kind: Literal["", "measured", "assessed", "label"]
    activity: Decimal | None = None
    ph: Decimal | None = None
    lacks: Lacks = ""


def basis_of(text: str, *, mixed: bool = True) -> Basis:
    """Return what a source rests on; ``mixed`` where more than one bought thing is in what it speaks of.

    A label speaks of what it is on, not of what is mixed with it.
    """
    plain = "".join(each for each in unicodedata.normalize("NFKD", text) if not unicodedata.combining(each))
    activity, ph = _value(_ACTIVITY, plain, most=1), _value(_PH, plain, least=1, most=14)
    if _UNSURE.search(plain):
        return Basis("", lacks="hearsay")
    if _DENIES.search(_NO_DENIAL.sub(" ", plain)):
        return Basis("", lacks="denies")
    if activity is not None or ph is not None:
        return Basis("measured", activity, ph, _measured_lacks(plain, activity, ph))
    if _HEARSAY.search(plain):
        return Basis("", lacks="hearsay")
    if _LABEL.search(plain) and _KEEPS.search(plain):
        return Basis("label", lacks="label_mixed" if mixed else "")
    if _PUBLISHED.search(plain) and not _NO_VALUE.search(plain) and _is_identified(plain):
        return Basis("assessed")
    return Basis("", lacks="basis")


def _measured_lacks(plain: str, activity: Decimal | None, ph: Decimal | None) -> Lacks:
    if not _is_safe(activity, ph):
        return "both" if None not in (activity, ph) else "ph" if activity is None else "activity"
    return "" if _YEAR.search(plain) and _names_somebody(plain) else "who_when"


def _is_safe(activity: Decimal | None, ph: Decimal | None) -> bool:
    """Return whether measured values are those of food that needs no time/temperature control, by table B."""
    if ph is not None and ph < _BELOW:
        return True
    if activity is None:
        return False
    if activity <= ACTIVITY_ALONE:
        return True
    return ph is not None and any(ph <= most and activity <= limit for most, limit in _TABLE_B)


def _is_identified(plain: str) -> bool:
    """Return whether an assessment has a number or a date, and more than the name of what made it."""
    return (
        any(map(str.isdigit, plain)) and len(_WORD.findall(plain)) > 1 and sum(map(str.isalpha, plain)) >= _LONG_ENOUGH
    )


def _names_somebody(plain: str) -> bool:
    """Return whether words are left that can name who measured it."""
    return _WORD.search(_NOBODY.sub("", _HEARSAY.sub("", plain))) is not None


def _value(pattern: re.Pattern[str], plain: str, *, least: int = 0, most: int) -> Decimal | None:
    """Return the largest figure of a text that names a measure with a value: of several the least safe one counts.

    Whatever lies from ``least`` to ``most`` can be a value of it, wherever in the text it stands.
    """
    matches = list(pattern.finditer(plain))
    found = [value for each in matches for value in each.group("value", "to") if value]
    if not found:
        return None
    found += _FIGURE.findall(plain)
    for each in matches:
        end = each.end()
        while (more := _MORE.match(plain, end)) is not None:
            found.append(more[1])
            end = more.end()
    values = [Decimal(value.replace(",", ".")) for value in found]
    return max((value for value in values if least <= value <= most), default=None)


def basis_in(recipe: Recipe) -> Basis:
    """Return what the source of a recipe of the Book rests on."""
    mixed = len(recipe.lines) != 1 or recipe.lines[0].recipe is not None
    return basis_of(recipe.shelf_stable_source, mixed=mixed)
