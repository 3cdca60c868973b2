"""What is marked for translation in the templates and modules of the project."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from babel.messages.extract import extract
from django.template.base import Lexer, Token, TokenType
from django.utils.text import smart_split
from django.utils.translation import trim_whitespace

#: Where strings for people are.
PLACES: Final = ("catalog", "config", "costing", "orders", "templates")
_KEYWORDS: Final = {
    "gettext": None,
    "gettext_lazy": None,
    "gettext_noop": None,
    "ngettext": (1, 2),
    "ngettext_lazy": (1, 2),
    "pgettext": ((1, "c"), 2),
    "pgettext_lazy": ((1, "c"), 2),
    "npgettext": ((1, "c"), 2, 3),
    "_": None,
    # `gettext_noop` under a shorter name: the text is translated where it is written into a page.
    "marked": None,
}
_ARGUMENT: Final = re.compile(r"""_\(\s*("(?:[^"\\]|\\.)*"|'(?:[^'\\]|\\.)*')\s*\)""")


@dataclass(frozen=True, slots=True)
class Found:
    """A text marked for translation, and where it is."""

    text: str
    plural: str
    context: str
    place: str

    @property
    def key(self) -> str | tuple[str, str]:
        """Its key in a message catalog."""
        return (self.text, self.plural) if self.plural else self.text


def messages(root: Path) -> list[Found]:
    """Return every marked text below a folder of the project, in the order of its files."""
    found: list[Found] = []
    for place in PLACES:
        for path in sorted((root / place).rglob("*")):
            named = path.relative_to(root).as_posix()
            if path.suffix == ".py" and "/migrations/" not in named:
                found += _of_module(path, named)
            elif path.suffix in (".html", ".txt") and place == "templates":
                found += of_template(path.read_text(encoding="utf-8"), named)
    return found


def _of_module(path: Path, named: str) -> Iterator[Found]:
    with path.open("rb") as file:
        for _, message, _, context in extract("python", file, keywords=_KEYWORDS):
            text, plural = message if isinstance(message, tuple) else (message, "")
            yield Found(text, plural, context or "", named)


def of_template(source: str, named: str) -> Iterator[Found]:
    """Yield the marked texts of a template: ``translate``, ``blocktranslate`` and arguments written ``_("…")``."""
    tokens = iter(Lexer(source).tokenize())
    for token in tokens:
        if token.token_type == TokenType.BLOCK:
            words = list(smart_split(token.contents))
            if words and words[0] in ("translate", "trans") and words[1][:1] in "\"'":
                yield Found(_escaped(_unquoted(words[1])), "", _context(words), named)
                continue
            if words and words[0] in ("blocktranslate", "blocktrans"):
                yield _block(words, tokens, named)
                continue
        if token.token_type in (TokenType.BLOCK, TokenType.VAR):
            for argument in _ARGUMENT.finditer(token.contents):
                yield Found(_escaped(_unquoted(argument[1])), "", "", named)


def _block(words: list[str], tokens: Iterator[Token], named: str) -> Found:
    singular, plural = "", ""
    current: list[str] = []
    for token in tokens:
        if token.token_type == TokenType.TEXT:
            current.append(_escaped(token.contents))
        elif token.token_type == TokenType.VAR:
            current.append(f"%({token.contents})s")
        elif token.contents.split()[0] == "plural":
            singular, current = "".join(current), []
        else:
            break
    last = "".join(current)
    text, plural = (singular, last) if singular else (last, "")
    if "trimmed" in words:
        text, plural = trim_whitespace(text), trim_whitespace(plural)
    return Found(text, plural, _context(words), named)


def _context(words: list[str]) -> str:
    return _unquoted(words[words.index("context") + 1]) if "context" in words else ""


def _escaped(text: str) -> str:
    return text.replace("%", "%%")


def _unquoted(literal: str) -> str:
    return literal[1:-1].replace(f"\\{literal[0]}", literal[0]).replace("\\\\", "\\")
