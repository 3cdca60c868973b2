"""Text that people read and that is not marked for translation."""

import ast
import builtins
import re
from collections.abc import Iterator
from typing import Final

from django.template.base import Lexer, TokenType

#: Attributes of elements whose value is read or spoken.
_ATTRIBUTE: Final = re.compile(
    r"""\b(?:alt|title|aria-label|aria-description|placeholder|label)\s*=\s*("[^"]*"|'[^']*')""", re.IGNORECASE
)
_NOT_READ: Final = re.compile(
    r"<!--.*?-->|<(script|style)\b.*?</\1>|<[^<>]*>|&[a-z]+;|&#\d+;", re.DOTALL | re.IGNORECASE
)
#: Two letters in a row are a word, but for units and the names of formats and standards.
_WORD: Final = re.compile(r"[^\W\d_]{2,}")
_NAMES: Final = frozenset(
    {"g", "kg", "ml", "cm", "mm", "oz", "lb", "km", "mi", "px", "PDF", "CSV", "XLSX", "ZIP", "ICS", "SHA", "USDA", "SR",
     "FDC", "ID", "UTC", "UNTDID", "Coldset", "kB", "MB", "GB", "min", "Letter", "Edge", "Opera", "Samsung", "Internet",
     "Firefox", "Chrome", "Safari", "Android", "Windows", "OS", "Mac", "Macintosh", "Linux"}
)  # fmt: skip
#: An argument of a tag, where it is not marked.
_ARGUMENT: Final = re.compile(r"""(?<!_\()(?<!\w)("[^"]*"|'[^']*')""")
#: Tags whose arguments are names and addresses.
_TAGS_OF_NAMES: Final = frozenset(["extends", "load", "url", "static", "block", "if", "elif", "cycle", "now"])
#: Tags whose content is marked, or is no text.
_MARKED: Final = frozenset(["blocktranslate", "blocktrans", "comment", "verbatim"])
_MARKS: Final = frozenset(
    {"gettext", "gettext_lazy", "gettext_noop", "ngettext", "ngettext_lazy", "pgettext", "pgettext_lazy",
     "npgettext", "_", "marked"}
)  # fmt: skip
#: Calls whose texts nobody but a developer or the machine reads.
_UNREAD: Final = frozenset(
    {"getLogger", "debug", "info", "warning", "exception", "critical", "compile", "fullmatch", "match", "search",
     "sub", "split", "execute", "RunSQL", "strftime", "strptime", "get", "getattr", "setattr", "reverse",
     "redirect", "render", "render_to_string", "ImproperlyConfigured", "TypeVar", "cast", "salted_hmac", "RowRules",
     "FatalURLFetchingError"}
)  # fmt: skip
#: Errors of Python itself are mistakes of a developer; what people read is raised as an error of forms or of ours.
_ERRORS: Final = frozenset(
    name for name, one in vars(builtins).items() if isinstance(one, type) and issubclass(one, BaseException)
)
#: What servers and browsers say to each other.
_PROTOCOL: Final = re.compile(
    r"private, no-store|noindex, .*|Lax|Allow|References|User-agent: .*|text/\w+; .*|attachment; .*|-//Coldset//.*",
    re.DOTALL,
)
#: Attributes of an element that are put together by themselves.
_ATTRIBUTES: Final = re.compile(r"""\s*(?:[\w-]+=(?:"[^"]*"|'[^']*')\s*)+""")
#: A placeholder stands where a variable is: no word.
_HOLE: Final = "·"
_CODE: Final = re.compile(r"[\w./:#?=&%{}<>\-\[\]*^$()+,;@!|~\\]+")
_ONE_WORD: Final = re.compile(r"[A-Z][a-z]+[.:]?")
_TWO_WORDS: Final = re.compile(r"[^\W\d_]{2,}\s+\S|\S\s+[^\W\d_]{2,}")


def in_template(source: str) -> list[str]:
    """Return what a template shows that is not marked, in its order."""
    found: list[str] = []
    shown: list[str] = []
    inside = ""
    for token in Lexer(source).tokenize():
        words = token.contents.split() if token.token_type == TokenType.BLOCK else []
        name = words[0] if words else ""
        if inside:
            inside = "" if name == f"end{inside}" else inside
        elif name in _MARKED:
            inside = name
        elif token.token_type == TokenType.TEXT:
            shown.append(token.contents)
        else:
            shown.append(
                _HOLE if name in ("", "translate", "trans") or not name.startswith(("if", "el", "end")) else ""
            )
            if name not in _TAGS_OF_NAMES and name not in ("translate", "trans"):
                arguments = (argument[1:-1] for argument in _ARGUMENT.findall(token.contents))
                found += [argument for argument in arguments if is_read(argument)]
    page = "".join(shown)
    found += [value[1:-1] for value in _ATTRIBUTE.findall(page) if _has_word(value)]
    found += [part.strip() for part in re.split(rf"[\n{_HOLE}]", _NOT_READ.sub("\n", page)) if _has_word(part)]
    return found


def in_module(source: str) -> list[str]:
    """Return the texts of a module that are not marked: literals with words in them, and texts put together."""
    return list(_in(ast.parse(source)))


def _in(node: ast.AST) -> Iterator[str]:
    for child in ast.iter_child_nodes(node):
        if _is_docstring(child) or _is_for_developers(child):
            continue
        if isinstance(child, ast.JoinedStr):
            parts = (str(part.value) if isinstance(part, ast.Constant) else _HOLE for part in child.values)
            text = "".join(parts)
            if _is_shown(text):
                yield text
        elif isinstance(child, ast.Constant):
            if isinstance(child.value, str) and _is_shown(child.value):
                yield child.value
        else:
            yield from _in(child)


def _name(function: ast.expr) -> str:
    if isinstance(function, ast.Attribute):
        return function.attr
    return function.id if isinstance(function, ast.Name) else ""


def _is_docstring(child: ast.AST) -> bool:
    return isinstance(child, ast.Expr) and isinstance(child.value, ast.Constant) and isinstance(child.value.value, str)


def _is_for_developers(child: ast.AST) -> bool:
    """Return whether a part of a module holds no text of a page: a mark, a type, a column's note, a name's entry."""
    if isinstance(child, ast.Call):
        # What the help of a column says is for whoever reads the model; a form has its own.
        if isinstance(child.func, ast.Attribute) and getattr(child.func.value, "id", "") == "models":
            child.keywords = [keyword for keyword in child.keywords if keyword.arg != "help_text"]
        return _name(child.func) in _MARKS | _UNREAD | _ERRORS
    if isinstance(child, ast.FunctionDef):
        child.returns = None
        return child.name in ("__str__", "__repr__")
    if isinstance(child, ast.AnnAssign):
        is_type = _name(child.annotation) == "TypeAlias"
        child.annotation = ast.Name("Any")
        return is_type
    if isinstance(child, ast.Assign):
        return any(_name(target) == "__all__" for target in child.targets)
    return False


def _is_shown(text: str) -> bool:
    """Return whether a module's text is read: markup, its attributes and headers are not."""
    return not _PROTOCOL.fullmatch(text) and not _ATTRIBUTES.fullmatch(text) and is_read(_NOT_READ.sub(" ", text))


def _has_word(text: str) -> bool:
    return any(word not in _NAMES for word in _WORD.findall(text))


def is_read(text: str) -> bool:
    """Whether people read a text: it has two words, or is one that begins with a capital letter."""
    text = text.strip()
    if not _has_word(text):
        return False
    return bool(_ONE_WORD.fullmatch(text) or (not _CODE.fullmatch(text) and _TWO_WORDS.search(text)))
