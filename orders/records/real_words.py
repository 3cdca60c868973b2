"""Whether a note or a name that lifts a block says anything: real words, not a dot or “n/a”, and of what is measured.

The words are looked for without their accents, in the languages kitchens write. The lists are our own, by memory, and
none is complete.
"""

import re
import unicodedata
from typing import Final

#: A word has two letters at least: “n/a” has none.
_WORD: Final = re.compile(r"[^\W\d_]{2,}")
#: One word of so many letters says something; own choice.
_LONG: Final = 8
#: A word of a name has so many letters to stand for it; own choice.
_NAMED: Final = 4
#: What stands for nothing or nobody.
_NOTHING: Final = frozenset(("na", "nil", "no", "nobody", "none", "nothing", "null", "one", "tba", "tbd", "xx", "xxx"))
#: Who is nobody one can ask, without accents.
_NOBODY: Final = frozenset(
    (
        "any",
        "anybody",
        "anyone",
        "everybody",
        "everyone",
        "nobody",
        "noone",
        "nn",
        "one",
        "some",
        "somebody",
        "someone",
        "who",
        "whoever",
        "unknown",
        "ask",
        "jemand",
        "niemand",
        "keiner",
        "irgendwer",
        "irgendjemand",
        "personne",
        "quelqu",
        "un",
        "quelquun",
        "qualcuno",
        "nessuno",
        "chiunque",
        "alguien",
        "nadie",
        "cualquiera",
        "iemand",
        "iedereen",
    )
)
#: That a measurement takes place is told by a temperature, a time, or a number of readings.
_MEASURES: Final = re.compile(
    r"\d\s*(°|degrees?\b|grad[oi]?s?\b|degres?\b|graden\b|[FC]\b)"
    r"|\d\s*(h|hrs?|hours?|min|minutes?|std|stunden?|minuten|uhr|heures?|ore|horas?|uur|uren|[ap]\.?m\.?)\b|\d:\d\d"
    r"|\b(hourly|(each|every|one|two|three|four|five|six|half(\san)?)\s(half\s)?hours?|stundlich)\b",
    re.IGNORECASE,
)
#: A probe or a core temperature; it says what is measured only beside a number.
_PROBES: Final = re.compile(
    r"\b(prob(e|es|ed|ing)|core|\w*thermom\w*|\w*termom\w*|\w*temperatur\w*|sond(e|es|er|a|ar|are)|\w*fuhler|kern)\b",
    re.IGNORECASE,
)
#: What stands in the place of a measurement: that it cannot be made, or a look and a touch.
_UNMEASURED: Final = re.compile(
    r"\b(broken|lost|missing|dead\sbattery|out\sof\sorder|(does|do)(n.?t|\snot)\swork|without|not\s(needed|necessary|required)"
    r"|no\s(probes?|thermometers?|need|measur\w*)|instead\sof\s(a\s|the\s|any\s)?(prob\w*|thermom\w*|measur\w*)"
    r"|looks?(ed)?|feels?|felt|eye-?ball\w*|by\s(eye|hand|touch|feel|look)|to\sthe\stouch|gut\sfeeling|guess\w*|trust"
    r"|kaputt|defekt|verloren|fehlt|ohne|nicht\s(notig|notwendig|erforderlich)|statt\s(einer\s|der\s)?(sonde|messung)"
    r"|(sieht|fuhlt)\b.*|augenmass|gefuhl|casse|cassee|en\spanne|perdu|perdue|sans|au\slieu\sd\w*|semble|a\sl.air"
    r"|pas\s(besoin|necessaire)|a\sl.oeil|au\stoucher)\b",
    re.IGNORECASE,
)
_MEASURING: Final = (
    r"(measur\w*|prob(e|es|ed|ing)|thermom\w*|readings?|check(s|ed|ing)?|gemessen|messen|messung\w*|mesur\w*|misur\w*"
    r"|medi(r|do|da|mos|cion\w*)|gemeten|meten|meting\w*)"
)
#: That none takes place: a word of not, with two others between at most.
_NOT_MEASURED: Final = re.compile(
    rf"\b(nothing|not|no|never|nobody|none|without|won.?t|don.?t|can.?t|cannot|didn.?t|isn.?t)\s+(\w+\s+){{0,2}}{_MEASURING}\b"
    rf"|\b(nichts|nicht|nie|kein\w*|niemand|ohne|rien|pas|jamais|sans|niente|non|mai|senza|nada|nunca|sin|niets|niet|geen"
    rf"|nooit|zonder)\s+(\w+\s+){{0,2}}{_MEASURING}\b"
    r"|\bno\s(time|need|probe|thermometer)\b|\bkeine?\szeit\b|\bpas\sle\stemps\b|\bgeen\stijd\b|\bsin\stiempo\b",
    re.IGNORECASE,
)


def says_something(text: str) -> bool:
    """Return whether a note has two words, or one of eight letters, that do not stand for nothing."""
    words = _words(text)
    return len(words) >= 2 or any(len(word) >= _LONG for word in words)


def says_measuring(text: str) -> bool:
    """Return whether a note says what is measured, and when or up to what, and not that nothing is.

    It has a temperature or a time in it, or a number beside a probe; a probe alone, or a look, says neither.
    """
    plain = _plain(text)
    numbered = bool(_MEASURES.search(plain)) or (bool(_PROBES.search(plain)) and bool(re.search(r"\d", plain)))
    return numbered and not _NOT_MEASURED.search(plain) and not _UNMEASURED.search(plain)


#: What only waves something through.
_FILLER: Final = frozenset(
    (
        *("ok", "okay", "go", "goes", "fine", "good", "great", "yes", "yeah", "sure", "right", "done"),
        *("all", "it", "is", "the", "of", "out", "please", "thanks", "problem", "that", "this", "was"),
        *("are", "we", "had", "to", "and", "for", "has", "will", "be", "customer", "agreed", "agrees"),
        *("approved", "checked", "by", "me", "my", "an", "as", "so", "alles", "gut", "passt", "ja", "geht"),
        *("klar", "bien", "oui", "va", "bene", "si", "bueno", "goed", "prima"),
    )
)


#: Who, and what somebody did: no name of what is served.
_NO_THING: Final = frozenset(
    (
        *(
            "she",
            "he",
            "they",
            "her",
            "him",
            "them",
            "his",
            "their",
            "theirs",
            "you",
            "your",
            "us",
            "our",
            "who",
            "its",
        ),
        *(
            "knows",
            "know",
            "knew",
            "known",
            "says",
            "wants",
            "want",
            "wanted",
            "takes",
            "take",
            "took",
            "likes",
            "like",
        ),
        *(
            "minds",
            "mind",
            "cares",
            "care",
            "accepts",
            "accepted",
            "understands",
            "understood",
            "told",
            "asked",
            "asks",
        ),
        *(
            "called",
            "spoke",
            "talked",
            "does",
            "doesn",
            "did",
            "didn",
            "not",
            "with",
            "about",
            "too",
            "still",
            "anyway",
        ),
        *(
            "already",
            "have",
            "having",
            "can",
            "could",
            "may",
            "might",
            "just",
            "now",
            "then",
            "later",
            "instead",
            "served",
        ),
        *(
            "serve",
            "serves",
            "serving",
            "goes",
            "out",
            "something",
            "else",
            "other",
            "another",
            "happy",
            "aware",
            "informed",
        ),
        *(
            "tomas",
            "owner",
            "boss",
            "sie",
            "er",
            "ihr",
            "ihm",
            "wir",
            "weiss",
            "wissen",
            "will",
            "nimmt",
            "kennt",
            "kunde",
        ),
        *("kundin", "bescheid", "stattdessen", "elle", "il", "ils", "elles", "nous", "sait", "savent", "veut", "prend"),
        *("client", "cliente", "place", "lieu", "est", "ist", "sind", "was", "were", "been"),
    )
)
#: That nothing is served instead, and that whoever waits for it knows.
_NOTHING_SERVED: Final = re.compile(
    r"\b(nothing|none|nichts|rien)\b.*\b(knows?|informed|agree[ds]?|called|weiss|wissen|sait|savent|prevenu\w*)\b",
    re.IGNORECASE,
)


def says_served(text: str) -> bool:
    """Return whether a note names what is served instead: a thing, or that nothing is and the customer knows."""
    plain = _plain(text)
    if _NOTHING_SERVED.search(plain):
        return True
    words = [word.casefold() for word in _words(plain)]
    return len([word for word in words if word not in _FILLER]) >= 2 and any(
        len(word) > 2 and word not in _FILLER and word not in _NO_THING for word in words
    )


def names_of(name: str, text: str) -> bool:
    """Return whether a note names something: by a word of four letters of its name, or by its start."""
    note = [word.casefold() for word in _words(_plain(text))]
    own = [word.casefold() for word in _words(_plain(name))]
    long = [word for word in own if len(word) >= _NAMED] or own
    return any(word.startswith(part[:-1] if len(part) > _NAMED else part) for part in long for word in note)


def names_somebody(text: str) -> bool:
    """Return whether a name has two letters, and does not stand for nobody, or for anybody."""
    return any(word.casefold() not in _NOBODY for word in _words(_plain(text)))


def _plain(text: str) -> str:
    return "".join(each for each in unicodedata.normalize("NFKD", text) if not unicodedata.combining(each))


def _words(text: str) -> list[str]:
    return [word for word in _WORD.findall(text) if word.casefold() not in _NOTHING]
