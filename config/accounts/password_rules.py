"""Rules for new passwords beside Django's: what everybody would try first is not what makes it long.

Django's list of 20,000 common passwords has 190 of twelve characters and more. What people make of the others when
twelve are asked for ("password1234", "dragon-sunshine") is common too, so it is refused by how it is made.
"""

import re
from functools import cache
from typing import Final

from django.contrib.auth.models import AbstractBaseUser
from django.contrib.auth.password_validation import CommonPasswordValidator
from django.core.exceptions import ValidationError
from django.utils.translation import gettext

from catalog.kitchen.models import Kitchen
from catalog.web.access import ROLES

#: Words of this service and trade; the words of the kitchen's name and of the person's are added.
CONTEXT_WORDS: Final = ("coldset", "kitchen", "dessert", "cake", "pastry", "bakery", "catering", "password", *ROLES)
#: Characters that must be left when these words and all digits are taken out.
LEAST_BESIDE: Final = 8


class ContextWords:
    """Refuses a password that is little more than the person's or the kitchen's name, the trade's words, and digits."""

    def validate(self, password: str, user: AbstractBaseUser | None = None) -> None:
        """Raise ValidationError for such a password."""
        name = Kitchen.objects.filter(pk=1).values_list("name", flat=True).first() or ""
        own = " ".join(str(getattr(user, field, "")) for field in ("username", "first_name", "last_name"))
        words = {*CONTEXT_WORDS, *(word.casefold() for word in re.findall(r"\w{4,}", f"{name} {own}"))}
        left = password.casefold()
        for word in sorted(words, key=len, reverse=True):
            left = left.replace(word, "")
        if len(re.sub(r"[\d\W_]", "", left)) < LEAST_BESIDE:
            raise ValidationError(
                gettext(
                    "This password is too easy to guess. Add words other than your name, the kitchen's name and words "
                    "of the trade."
                ),
                code="context_words",
            )

    def get_help_text(self) -> str:
        """Say the rule."""
        return gettext("Do not build it from your name, the kitchen's name, words of the trade or numbers.")


#: Common passwords that a password may consist of, beside digits, signs, runs and repetitions, and still be refused.
FEW: Final = 2
#: Letters that people write as digits and signs.
_WRITTEN_FOR: Final = str.maketrans("@4301!5$7", "aaeoiisst")
#: The shortest common password that counts as one part, and the shortest run of letters such as "abc" or "aaa".
_SHORTEST: Final = 3
_RUN: Final = 3


class CommonParts:
    """Refuses a password that is made of one or two common ones, digits, signs, runs of letters and repetitions."""

    def validate(self, password: str, user: AbstractBaseUser | None = None) -> None:
        """Raise ValidationError for such a password."""
        folded = password.casefold()
        if min(common_parts(folded), common_parts(folded.translate(_WRITTEN_FOR))) <= FEW:
            raise ValidationError(
                gettext(
                    "This password is made of common passwords and numbers. Use three or four words that do not "
                    "belong together."
                ),
                code="common_parts",
            )

    def get_help_text(self) -> str:
        """Say the rule."""
        return gettext("Do not build it from common passwords, rows of keys and numbers.")


def common_parts(text: str) -> int:
    """Return the fewest common passwords that a text is made of, beside what nobody has to guess; more than FEW if not.

    A part that was there before costs nothing again. The text is looked at from its beginning: for each place the
    fewest parts that lead to it are known.
    """
    common, longest = _common()
    fewest: list[frozenset[str] | None] = [frozenset(), *[None] * len(text)]
    for start in range(len(text)):
        parts = fewest[start]
        if parts is None:
            continue
        for end, part in _steps(text, start, common, longest):
            reached = parts | {part} if part else parts
            known = fewest[end]
            if len(reached) <= FEW and (known is None or len(reached) < len(known)):
                fewest[end] = reached
    last = fewest[-1]
    return FEW + 1 if last is None else len(last)


def _steps(text: str, start: int, common: frozenset[str], longest: int) -> list[tuple[int, str]]:
    """Return the ends of what may begin at a place, with the common password it is: none of a digit, sign or run."""
    steps = [
        (end, text[start:end])
        for end in range(start + _SHORTEST, min(start + longest, len(text)) + 1)
        if text[start:end] in common
    ]
    if not text[start].isalpha():
        steps.append((start + 1, ""))
    run = _run_end(text, start)
    if run - start >= _RUN:
        steps.append((run, ""))
    return steps


def _run_end(text: str, start: int) -> int:
    """Return where letters that repeat, or follow each other in the alphabet, end."""
    if start + 1 == len(text):
        return start + 1
    step = ord(text[start + 1]) - ord(text[start])
    end = start + 1
    while step in (-1, 0, 1) and end < len(text) and ord(text[end]) - ord(text[end - 1]) == step:
        end += 1
    return end


@cache
def _common() -> tuple[frozenset[str], int]:
    found = frozenset(one for one in CommonPasswordValidator().passwords if not one.isdigit())
    return found, max(map(len, found))
