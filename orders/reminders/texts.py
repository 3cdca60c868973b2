"""The texts of reminders: plain text with fields in braces from a closed list."""

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Final

_FIELD: Final = re.compile(r"\{([^{}]*)\}")


@dataclass(frozen=True, slots=True)
class TextProblem:
    """What is wrong with a text: "field" (a field that is not in the list) or "brace" (one without its partner).

    ``near`` is the field's name, or the text around the brace.
    """

    code: str
    near: str


def problem_of(text: str, fields: Collection[str]) -> TextProblem | None:
    """Return the first thing that is wrong with a text; None where it can be filled in."""
    rest = _FIELD.sub(lambda found: " " * len(found.group()), text)
    if (brace := re.search(r"[{}]", rest)) is not None:
        around = text[max(0, brace.start() - 15) : brace.start() + 16]
        return TextProblem("brace", " ".join(around.split()))
    names = (found.group(1).strip() for found in _FIELD.finditer(text))
    return next((TextProblem("field", name) for name in names if name not in fields), None)


def filled(text: str, values: Mapping[str, str]) -> str:
    """Return a text with its fields filled in, once: what is filled in is not read again."""
    return _FIELD.sub(lambda found: values.get(found.group(1).strip(), found.group()), text)
