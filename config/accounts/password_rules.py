"""A rule for new passwords beside Django's: the words everybody would try first are not what makes it long."""

import re
from typing import Final

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import ValidationError

from catalog.kitchen.models import Kitchen
from catalog.web.access import ROLES

#: Words of this service and trade; the words of the kitchen's own name are added.
CONTEXT_WORDS: Final = ("coldset", "kitchen", "dessert", "cake", "pastry", "bakery", "catering", "password", *ROLES)
#: Characters that must be left when these words and all digits are taken out.
LEAST_BESIDE: Final = 8


class ContextWords:
    """Refuses a password that is little more than the kitchen's name, the trade's words, and digits."""

    def validate(self, password: str, user: AbstractBaseUser | None = None) -> None:
        """Raise ValidationError for such a password."""
        name = Kitchen.objects.filter(pk=1).values_list("name", flat=True).first() or ""
        words = {*CONTEXT_WORDS, *(word.casefold() for word in re.findall(r"\w{4,}", name))}
        left = password.casefold()
        for word in sorted(words, key=len, reverse=True):
            left = left.replace(word, "")
        if len(re.sub(r"[\d\W_]", "", left)) < LEAST_BESIDE:
            raise ValidationError(
                "Leave out the kitchen's name, words of the trade and numbers: without them this password is short.",
                code="context_words",
            )

    def get_help_text(self) -> str:
        """Say the rule."""
        return "Do not build it from the kitchen's name, words of the trade or numbers."
