"""How somebody's reaction is told with the food it comes from: "her tongue itches with kiwi", "wird von Litschi krank".

In English, German and French, in small letters without accents; common practice, no source, and no list is complete.
"""

import re
from typing import Final

_ITCHES: Final = (
    r"\b(?:rash(?:es)?|hives|welts|eczema|anaphyla\w+|shock|chok(?:es?|ed|ing)|itch(?:es|ed|y|ing)?|swell(?:s|ed|ing)?|swollen"
    r"|vomit(?:s|ed|ing)?|(?:throw|threw)\w*|bloat(?:s|ed|ing)?|cramps|migraines?|clos(?:es?|ed|ing)|tight(?:ens?|ened)?|burns?"
    r"|tingl(?:es?|ed|ing)|numb|(?:break|broke|come|came)\w*\s+out|breathe|wheez(?:es?|ed|ing)|faint(?:s|ed)?|collaps(?:es|ed)|ill|sick"
    r"|unwell|poorly|nauseous|(?:allergic|bad|severe|serious|strong)\s+reactions?|hospital|ambulance|stomach[\s-]?aches?"
    r"|ausschlag|nesselsucht|quaddeln|pusteln|juck\w*|schwill\w*|geschwollen|erbr(?:icht|ach)|bauchweh|bauchschmerzen|durchfall|atemnot|krank"
    r"|schlecht|ubel|urticaire|plaques(?:\s+rouges)?|boutons|demange\w*|gonfle\w*|vomi(?:t|e)?|malades?|etouffe\w*)"
)
#: A reaction, and words that lead to what it comes of.
REACTS_TO: Final = (
    rf"(?:{_ITCHES}(?:\s+(?:up|out|so|badly|terribly|all\s+over|an))*\s+"
    r"(?:\w+\s+){0,2}?(?:with|from|after|on|because\s+of|due\s+to|von|vom|bei|nach|durch|avec|apres|a\s+cause)|\breactions?\s+to)\s+"
    r"(?:(?:just\s+)?(?:eating|having|touching|any(?:thing)?\s+(?:with|of)|even|avoir\s+mange)\s+)?"
)
#: Somebody eats it, in a sentence of a reaction.
EATS: Final = (
    r"(?:\b(?:when(?:ever)?|if|after|once|every\s+time|as\s+soon\s+as)\s+(?:[a-z']+\s+){1,2}(?:eats?|has|ate|tastes?|touches)\s+"
    r"|\b(?:quand|si|des\s+qu)\W?(?:\s*[a-z']+)\s+(?:en\s+)?mange\s+)"
)
#: What stands before the words of what it does: "lychees close his throat", "Safran macht Oma krank".
CAUSES: Final = re.compile(
    r"\b(?P<what>[a-z][a-z'-]{2,25}(?:\s+[a-z][a-z'-]{2,25})?)\s+(?:(?:always|also)\s+)?(?:"
    r"(?:gives?|gave)\s+(?:me|him|her|them|us|my\s+\w+|[a-z]+)\s+(?:(?:an?|bad|terrible|awful)\s+)*"
    r"(?:hives|rash|welts|cramps|migraines?|eczema|diarrh\w+|reaction)"
    r"|(?:makes?|made)\s+(?:me|his|him|her|them|us|their|my\s+[a-z']+|[a-z']+)\s+(?:\w+\s+)?"
    r"(?:itch|swell|vomit|wheeze|ill|sick|unwell|poorly|tingle|choke|faint|close|tighten|numb)"
    r"|clos(?:es?|ed)\s+(?:up\s+)?(?:my|his|her|their|[a-z]+'s)\s+(?:throat|airways?)"
    r"|(?:sends?|sent|puts?)\s+(?:me|him|her|them|my\s+\w+|[a-z]+)\s+(?:in)?to\s+(?:the\s+)?(?:hospital|er|a&e)"
    r"|(?:=|means)\s*(?:hives|rash|hospital|epi\s?-?pen|anaphyla\w+)"
    r"|(?:triggers?|causes?|caused)\s+(?:\w+\s+){0,3}(?:asthma|eczema|hives|rash|reactions?|migraines?|swelling|anaphyla\w+)"
    r"|macht\s+(?:\w+\s+){1,2}krank|rend(?:ent)?\s+(?:\w+\s+){1,2}malades?)\b"
    r"|\b(?:von|vom|bei)\s+(?P<of>[a-z][a-z'-]{2,25})\s+(?:\w+\s+){0,3}?(?:ausschlag|krank|schlecht|ubel|bauchweh|quaddeln|durchfall)\b"
    r"|\bwenn\s+[a-z]+\s+(?P<eaten>[a-z]{3,25})\s+isst\b"
)
#: What follows words of illness and is nothing anybody eats.
NO_CAUSE: Final = re.compile(
    r"\b(?:wedding|party|tasting|event|visit|trip|car|bus|boat|plane|flu|cold|covid|fever|fall|accident|operation|surgery|birth|pride|joy"
    r"|love|home|work|worry|stress|guests?|people|family|friends?|me|him|her|them|us|you|monday|tuesday|wednesday|thursday|friday"
    r"|saturday|sunday|today|yesterday|tomorrow|week\w*|months?|days?|hours?|minutes?|years?|last|next|first|meals?|eating|she|he|they|we"
    r"|being|getting|going|hochzeit|feier|reise|fahrt|grippe|tagen?|wochen?|essen|fete|mariage|voyage|repas|grippe|jours?)\b"
)
