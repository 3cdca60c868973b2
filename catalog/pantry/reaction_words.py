"""Words of what happens to somebody who eats what they cannot: a rash, a hospital, an EpiPen; in three languages.

They name no food, or one that is on no list of allergens; whoever reads them is asked all the same.
"""

import re
from typing import Final

from catalog.pantry.name_words import folded

#: In small letters without accents.
_REACTS: Final = re.compile(
    r"\b(?:rash(?:es)?|hives|welts|urticaria|eczema|blotch\w*|anaphyla\w*|epi-?\s?pens?|adrenaline?|epinephrine|auto-?injectors?"
    r"|antihistamines?|benadryl|inhaler|wheez\w*|chok(?:es?|ed|ing)|itch\w*|swell(?:s|ed|ing)|swollen|vomit\w*|diarrh\w*"
    r"|migraines?|bloat(?:s|ed|ing)?|cramps)\b(?!\s+decision)"
    r"|\b(?:break|breaks|breaking|broke|comes?|came)\s+out\s+(?:in|from|with|when|after|all)\b|\bswell\s+up\b"
    r"|\b(?:will|would|may|can|does|throat|lips?|tongue|face|eyes)\s+swell\b"
    r"|\b(?:throw(?:s|n|ing)?|threw)\s+(?:it\s+)?up\b(?!\s+(?:an?|the|some|questions?)\b)"
    r"|\b(?:ill|sick|unwell|poorly|nauseous|nausea)\b(?!\s+(?:of|leave)\b)|\b(?:upset|sore|bad)\s+(?:stomach|tummy)\b"
    r"|\b(?:stomach|tummy|belly)\s?-?\s?aches?\b|\b(?:cannot|can't|could\s?n't|not)\s+breathe\b|\bshort\s+of\s+breath\b"
    r"|\b(?:allergic|severe|serious|bad|strong)\s+reactions?\b|\breact(?:s|ed)?\s+(?:\w+ly\s+)?to\b|\breaction\s+to\b"
    r"|\bausschlag|\bnesselsucht|\bquaddeln|\bpusteln|\bpickel\b|\bjuck\w*|\b(?:an)?schwell\w*|\bschwill\w*|\bgeschwollen"
    r"|\berbr(?:icht|echen|ach)\b|\bubergibt\s+sich|\bsich\s+ubergeb|\bkrank\b|\bkeine\s+luft\b|\batemnot|\bbauchschmerz|\bbauchweh"
    r"|\bdurchfall|\bnotfall(?:set|spritze|medikament)|\bw(?:ird|urde|erden)\b[^.!?\n]{0,40}\b(?:schlecht|ubel)\b"
    r"|\b(?:urticaire|plaques\s+rouges|boutons|demange\w*|gonfle\w*|vomi\w*|malades?|choc\s+allergique|etouffe\w*|eruption)\b"
    r"|\bmal\s+au\s+ventre\b"
    r"|\b(?:clos\w*|tighten\w*|shut\w*|burn\w*|itch\w*)\s+(?:up\s+)?(?:his|her|my|their|our|the)\s+(?:throat|airways?|windpipe)\b"
    r"|\b(?:throat|airways?|windpipe)\s+(?:\w+\s+)?(?:clos\w*|tight\w*|shut\w*|burn\w*|itch\w*)\b"
    r"|\b(?:jab|allergy|injection|injector)[\s-]?pens?\b|\bjabs?\s+(?:herself|himself|themselves)\b|\bambulances?\b"
    r"|\b(?:tingl\w*|numb(?:s|ed|ness)?|faint(?:s|ed|ing)|collaps\w*)\b|\b(?:keel\w*\s+over|pass(?:es|ed)\s+out|turns?\s+blue)\b"
    r"|\b(?:stomach|tummy|belly|guts?)\s+(?:(?:is|was|gets?|got|goes|went|feels?|felt)\s+)?(?:bad|upset|hurts?|sore|cramp\w*)\b"
    r"|\bintensive\s+care\b|\b(?:in|into|to)\s+(?:the\s+)?icu\b"
)
_HOSPITAL: Final = re.compile(
    r"\bcasualty\b|\ba\s?&\s?e\b|\b(?:in|at|to|into)\s+(?:the\s+)?(?:er|emergency)\b|\bthe\s+er\b"
    r"|\b(?:hospitals?|emergency\s+room|krankenhaus|spital|klinik|notaufnahme|hopital|urgences)\b"
)
#: Words by which a hospital is an address.
_ADDRESS: Final = re.compile(
    r"\b(?:deliver\w*|address|street|road|avenue|park\w*|next\s+to|opposite|behind|venue|canteen|ward|entrance|lobby"
    r"|liefer\w*|adresse|strasse|neben|gegenuber|livr\w*|rue|a\s+cote)\b"
)
_ALLERGIC: Final = re.compile(r"\b(?:allergic|allergisch|allergique)\b")
_NOBODY: Final = re.compile(r"\b(?:no|not|nobody|none|never|n't|\w+n't|niemand|nicht|kein\w*|personne|pas|aucun\w*)\b")
_SENTENCE: Final = re.compile(r"[.!?;\n]+")


def speaks_of_reaction(text: str) -> bool:
    """Return whether a text speaks of what somebody gets of a food, or of what they carry against it."""
    return any(_reacts(sentence) for sentence in _SENTENCE.split(folded(text)))


def _reacts(sentence: str) -> bool:
    if _REACTS.search(sentence):
        return True
    if _HOSPITAL.search(sentence) and not _ADDRESS.search(sentence):
        return True
    return any(not _NOBODY.search(sentence[: match.start()]) for match in _ALLERGIC.finditer(sentence))
