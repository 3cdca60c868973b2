"""What goes together only when it is hot, by the names of what goes into a recipe, whatever its steps say.

Gelatin, agar or pectin in milk, cream, juice or purée; chocolate with cream; sugar with water as a syrup. Looked for
without accents, as whole words or ends of words, in English, German, French, Italian, Spanish and Dutch. The lists are
our own, from dictionaries by memory, and none is complete; that these are made hot as a rule is common practice, no
source.
"""

import re
import unicodedata
from collections.abc import Iterable, Sequence
from typing import Final, Literal

Combination = Literal["gelled", "chocolate_cream", "syrup"]

_GELS: Final = re.compile(
    r"\b((\w*blatt)?gelatin[ea]?s?|\w*gelatine|agar([\s-]?agar)?|pectin[ea]?s?|pektin\w*|pectina|carrag\w+|isinglass"
    r"|colle\sde\spoisson|colla\sdi\spesce|cola\sde\spescado)\b",
    re.IGNORECASE,
)
_LIQUIDS: Final = re.compile(
    r"(?<!almond\s)(?<!icing\s)\b((butter)?milk|\w*creams?|half[\s-]and[\s-]half|juices?|purees?|coulis|nectar|\w*milch|\w*sahne"
    r"|\w*rahm|\w*obers|\w*saft|\w*mark|\w*puree|lait|cremes?|jus|latte|panna|succo|purea|leche|nata|zumo|jugo|pure|melk"
    r"|\w*room|\w*sap)\b(?!\s+(of\s+tartar|powder|solids))",
    re.IGNORECASE,
)
_CREAM: Final = re.compile(
    r"(?<!ice\s)(?<!sour\s)\b(creams?|cremes?|half[\s-]and[\s-]half|(schlag)?sahne|(schlag)?rahm|schlagobers|obers|panna|nata"
    r"|(slag)?room)\b(?!\s+(cheese|of\s+tartar|powder|fraiche))",
    re.IGNORECASE,
)
_CHOCOLATE: Final = re.compile(
    r"\b(chocolates?|couvertures?|\w*schokolade|kuverture|chocolat|cioccolato|\w*chocolade)\b"
    r"(?![\s-]+(shavings?|curls?|flakes?|sprinkles?|vermicelli|pearls?|decorations?|raspel|streusel|spane))",
    re.IGNORECASE,
)
_SUGAR: Final = re.compile(r"\b(sugars?|glucose|\w*zucker|sucre|zucchero|azucar|\w*suiker)\b", re.IGNORECASE)
_WATER: Final = re.compile(
    r"(?<!rose\s)(?<!flower\s)(?<!blossom\s)\b(water|wasser|eau|acqua|agua)\b(?!\s+(chestnut|melon))", re.IGNORECASE
)
#: What a step says that makes a syrup.
_SYRUP: Final = re.compile(
    r"\b(syrups?|sirup|sirops?|sciroppo|almibar|jarabe|siroop|dissol\w+|auflos\w*|sciogli\w*|disolv\w*|oplos\w*"
    r"|(soft|firm|hard)[\s-](ball|crack)|threads?|(petit|grand)\sboule|(petit|grand)\scasse)\b",
    re.IGNORECASE,
)


def made_hot(names: Iterable[str], texts: Sequence[str]) -> Combination | None:
    """Return which combination the names of a recipe's lines are, that is made hot as a rule; None where none is.

    ``texts`` are its steps' words: sugar with water is a syrup only where they say so.
    """
    plain = [_plain(name) for name in names]
    if _any(_GELS, plain) and any(_LIQUIDS.search(name) for name in plain if not _GELS.search(name)):
        return "gelled"
    if _any(_CHOCOLATE, plain) and any(_CREAM.search(name) for name in plain if not _CHOCOLATE.search(name)):
        return "chocolate_cream"
    if _any(_SUGAR, plain) and _any(_WATER, plain) and _any(_SYRUP, [_plain(text) for text in texts]):
        return "syrup"
    return None


def _any(pattern: re.Pattern[str], texts: Iterable[str]) -> bool:
    return any(pattern.search(text) for text in texts)


def _plain(text: str) -> str:
    return "".join(each for each in unicodedata.normalize("NFKD", text) if not unicodedata.combining(each))
