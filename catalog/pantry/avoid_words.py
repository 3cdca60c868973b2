"""Words by which somebody cannot or does not eat something, whatever it is: corn, cinnamon, a formula; and feasts.

No list has these foods; whoever reads the words is asked. In the six languages, without accents; common practice, no
source, and no list is complete.
"""

import re
from typing import Final

from catalog.pantry.name_words import folded
from catalog.pantry.plain_text import plain_text

_PERSON: Final = (
    r"(?:he|she|they|who|guests?|(?:grand|step|god)?(?:mother|father|son|daughter|child|mum|mom|dad)|grand(?:ma|pa)|granny|nana"
    r"|aunt(?:ie|y|s)?|uncles?|nieces?|nephews?|cousins?|sisters?|brothers?|wife|husband|boys?|girls?|baby|toddler|children|kids?"
    r"|bride|groom|best\s+man|bridesmaids?|friends?|colleagues?|partner|boss|neighbou?rs?|braut|brautigam|trauzeug\w*|tante|onkel"
    r"|oma|opa|nichte|neffe|schwester|bruder|mutter|vater|tochter|sohn|kind|mere|pere|soeur|frere|fille|fils|mariee?|hij[oa]|herman[oa]"
    r"|novi[oa]|madre|padre|figli[oa]|sorella|fratello|spos[oa]|zus|broer|zoon|dochter)"
)
#: What people avoid besides food.
_ON_THE_WAY: Final = (
    r"(?!\s+(?:(?:the|any|a|an|all|more|further|another|such)\s+)?(?:\w+\s+)?(?:roads?|traffic|motorway|highway|tolls?|route|rush"
    r"|parking|stairs?|delays?|confusion|noise|costs?|fees?|doubts?|mistakes?|misunderstanding\w*|surprises?|waste|stress|trouble"
    r"|that|this|it\b|crowds?|queues?|damage|entrance|lift)\b)"
)
_NO: Final = (
    r"(?:can\s?not|can['’]?t|could\s?n['’]t"
    r"|must\s+not|mustn['’]t|may\s+not|does\s+not|doesn['’]t|do\s+not|don['’]t|never|won['’]t)"
)
_CANNOT: Final = re.compile(
    rf"\bavoid(?:s|ed|ing)?\b{_ON_THE_WAY}"
    rf"|\b{_NO}\s+(?:\w+\s+)?(?:eats?|tolerates?|digests?|stomach)\b"
    rf"|\b{_PERSON}\s+(?:\w+\s+)?{_NO}\s+(?:have|take|touch|do)\b(?!\s+(?:a|the|to|time|been|not|it|part|care|any\s+time)\b)"
    r"|\b(?:steer\w*|stay\w*|keep\w*)\s+(?:well\s+)?(?:clear\s+of|off)\b(?!\s+(?:the\s+)?(?:road|grass|lawn|phone|street)\b)"
    r"|\bno\s+(?:puede\w*|debe\w*)\s+(?:comer|tomar)\b|\bno\s+comen?\b(?!\s+(?:back|in|on|at|to)\b)"
    r"|\bne\s+(?:peut|peuvent|doit|doivent)\s+pas\s+(?:en\s+)?manger\b|\bne\s+mange(?:nt)?\s+(?:pas|plus|jamais)\b|\bevit(?:e|ent|a|ano)\s+(?:le|la|les|de|il|el)\b"
    r"|\b(?:darf|durfen|soll)\s+kein\w*\b(?!\s+(?:auto|wagen|larm|problem|musik)\w*\b)|\b(?:darf|durfen|kann|konnen)\s+(?:\w+\s+){0,3}nicht\s+essen\b"
    r"|\b(?:isst|essen|vertragt|vertragen)\s+(?:\w+\s+)?(?:kein\w*|nicht|nie)\b|\bmeidet\b"
    r"|\bnon\s+(?:puo|possono|deve)\s+mangiar\w*\b|\bnon\s+mangia(?:no)?\b|\b(?:mag|mogen|eet|eten)\s+geen\b|\bnao\s+(?:pode\w*\s+)?com(?:er?|em)\b"
    r"|\b(?:goes|going|went|turns?|turned)\s+(?:\w+\s+)?(?:blue|red|purple|white|pale|green)\s+(?:\w+\s+)?(?:from|after|with|when|if|of)\b"
    r"|\b(?:hypo-?allergen\w*|hydroly[sz]ed|amino[\s-]acid|elemental|infant|baby)\s+(?:\w+\s+)?(?:formula|milk)\b"
    r"|\bformula\b(?!\s+(?:1|one|e)\b)"
)
#: Illnesses and states in which people leave foods out.
_ILLNESS: Final = re.compile(
    r"\bg\s?-?6\s?-?p\s?-?d\b|\bfavism|\bfpies\b|\bpku\b|phenyl[ck]eton|phenylcetonur|\beoe\b|eosinophil|\bmcas\b|mast\s?cell"
    r"|mastozyto|mastocyto|\bcrohn|\bcolitis\b|\bibs\b|irritable\s+bowel|reizdarm|\bsibo\b|galactosa?emi|galaktosami|histamin"
    r"|hereditary\s+fructose|\bgout\b|\bgicht\b|gallbladder|gallstone|gallenstein|kidney\s+(?:disease|failure|patient)|dialys[ei]s?"
    r"|\bmaois?\b|\bwarfarin\b|breast-?\s?feed\w*|\bnursing\s+(?:mum|mom|mother)|\bstillt\b|stillend|\ballait|pregnan|schwanger"
    r"|enceinte|bariatric|gastric\s+(?:bypass|band|sleeve)|\breflux\b|\boas\b|oral\s+allergy|pollen[\s-]food|\bmsud\b"
    r"|maple\s+syrup\s+urine|tyramin|diabet|\bketo\b"
)
#: "No cinnamon for Rosa", and not "no flowers for the table".
_NONE_FOR: Final = re.compile(
    r"\b(?:[Nn]o|NO|[Ww]ithout|[Kk]eine?n?|[Oo]hne|[Ss]ans|[Pp]as\s+de|[Ss]in|[Ss]enza|[Gg]een|[Zz]onder)"
    r"\s+(?!(?:flowers?|invoices?|parking|candles?|space|room|tables?|chairs?|repl(?:y|ies)|hurry|time|need|way|problems?|rush|fees?"
    r"|discount|deposit|delivery|seats?|cards?|plates?|speech|music|alcohol-free)\b)[\w-]+(?:\s+[\w-]+)?"
    r"\s+(?:for|f\u00fcr|pour|para|per|voor)\s+(?:[A-Z\u00c0-\u00dc][a-z\u00df-\u00ff]+|(?:my|our|his|her|the|meine?n?|unsere?n?|ma|mon|mi|mia|mio|mijn)\s+(?P<who>\w+))"
)
#: Feasts and days on which many guests eat by the rules of their faith; small letters without accents.
_FEASTS: Final = re.compile(
    r"\brosh\s+ha-?shana\w*|\byom\s+kippur\b|\bpassover\b|\bpe[sz]ach\b|\bseder\b|\b(?:c?hanuk+ah?|chanukka\w*)\b|\bpurim\b|\bsukkot\w*"
    r"|\bshavuot\b|\bs(?:h|c?h)?ab+(?:at|os|ath)\b|\bba[rt]\s+mi[tz]+[vw]ah?\b|\bbris\b|\biftar\w*|\bsu[hk]oo?r\b|\beid\b|\bramadan\b"
    r"|\bmawlid\b|\bdi[vw]ali\b|\bdeepavali\b|\bnavratri\b|\bholi\b|\bparyushan\w*|\bvesak\b|\blenten\b|\bgreat\s+lent\b|\bzuckerfest\b"
)
#: What goes on from words before it: "and her sister too", "two more of the same".
_GOES_ON: Final = re.compile(
    r"\b(?:too|also|as\s+well|likewise|ditto|(?:the\s+)?same(?!\s+(?:time|day|place|address|cake|tart|dessert\w*|order|hour|van)\b)"
    r"|auch|ebenfalls|ebenso|genauso|dasselbe|aussi|egalement|pareil|tambien|igual|anche|lo\s+stesso|ook|hetzelfde)\b"
)
_SOMEBODY: Final = re.compile(
    rf"\b(?:{_PERSON}|her|him|them|one|two|three|four|five|six|\d{{1,2}}|zwei|drei|vier|eine?r?|deux|trois|dos|tres|due|tre|twee|drie)\b"
)
#: What people do as well, and nobody eats.
_DOES: Final = re.compile(
    r"\b(?:come|comes|coming|came|join\w*|help\w*|pay\w*|call\w*|ring|arriv\w*|flowers?|cakes?|tarts?|tartlets?|desserts?|portions?"
    r"|table|chairs?|invoice|deliver\w*|candles?|thanks|thank|love|likes?|want\w*|kommt|kommen|hilft|vient|viendra)\b"
)


def speaks_of_avoiding(text: str) -> bool:
    """Return whether a text says that somebody does not eat something, by a verb or by name: "no corn for Rosa".

    Illnesses and states in which people leave foods out count too: PKU, pregnant.
    """
    if _CANNOT.search(folded(text)) or _ILLNESS.search(folded(text)):
        return True
    return any(
        match["who"] is None or re.fullmatch(_PERSON, folded(match["who"]))
        for match in _NONE_FOR.finditer(plain_text(text))
    )


def names_feast(text: str) -> bool:
    """Return whether a text names a feast on which many guests eat by the rules of their faith."""
    return _FEASTS.search(folded(text)) is not None


def goes_on(text: str) -> bool:
    """Return whether a text says of others what words before it say: "and her sister too"."""
    return any(
        _GOES_ON.search(part) and _SOMEBODY.search(part) and not _DOES.search(part)
        for part in re.split(r"[.!?;\n]+", folded(text))
    )
