"""Whether a note or a name that lifts a block names what is served, a thing or somebody.

The words are looked for without their accents, in the languages kitchens write. The lists are our own, by memory, and
none is complete.
"""

import re
import unicodedata
from typing import Final

from catalog.records.real_words import real_words

#: A word of a name has so many letters to stand for it; own choice.
_NAMED: Final = 4
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
    words = [word.casefold() for word in real_words(plain)]
    return len([word for word in words if word not in _FILLER]) >= 2 and any(
        len(word) > 2 and word not in _FILLER and word not in _NO_THING for word in words
    )


def names_of(name: str, text: str) -> bool:
    """Return whether a note names something: by a word of four letters of its name, or by its start."""
    note = [word.casefold() for word in real_words(_plain(text))]
    own = [word.casefold() for word in real_words(_plain(name))]
    long = [word for word in own if len(word) >= _NAMED] or own
    return any(word.startswith(part[:-1] if len(part) > _NAMED else part) for part in long for word in note)


#: What comes before a thing or an animal, and before no name.
_NO_NAME_BEGINS: Final = frozenset(
    ("the", "a", "an", "my", "our", "your", "this", "by", "der", "die", "das", "mein", "meine", "unser", "unsere")
)
_REMARKS: Final = (_FILLER | {"looks", "look", "seems", "feels", "feel", "tastes"}) - {"will"}


def names_somebody(text: str) -> bool:
    """Return whether a name has two letters, and does not stand for nobody or anybody, for a thing, or for a remark."""
    words = [word.casefold() for word in _plain(text).split()]
    if words and words[0] in _NO_NAME_BEGINS:
        return False
    return any(word.casefold() not in _NOBODY | _REMARKS for word in real_words(_plain(text)))


def _plain(text: str) -> str:
    return "".join(each for each in unicodedata.normalize("NFKD", text) if not unicodedata.combining(each))
