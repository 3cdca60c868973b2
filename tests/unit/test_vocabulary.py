"""One word, one meaning: names in code, templates and stylesheets use the words of the glossary.

`INSTEAD` has words that once stood for a concept which has a standard name. They may not be part of the name of a
class, function, argument, variable, module, template, template block or CSS class. Texts that people read, keys of
file formats and values stored in the database are strings, so the test does not look at them.
"""

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
FOLDERS = ("catalog", "config", "costing", "orders", "templates", "tests")

#: Word that is not used -> the standard word for what it stood for.
INSTEAD = {
    "letter": "quote page (the customer's page), kind of mail, or character",
    "letters": "quote pages, kinds of mail, or characters",
    "door": "link login",
    "witness": "approval evidence",
    "reckon": "compute",
    "reckoned": "computed",
    "reckoning": "draft estimate",
    "trouble": "problem",
    "troubles": "problems",
    "finding": "problem",
    "findings": "problems",
    "complaint": "problem or form error",
    "complaints": "problems or form errors",
    "lucky": "largest remainder",
    "manner": "display settings",
    "told": "reported, summary, or the name of what a function builds",
    "larder": "mixtures",
    "enquiry": "inquiry",
    "enquiries": "inquiries",
    "mould": "mold",
    "moulds": "molds",
    "labour": "labor",
    "catalogue": "catalog",
    "lapse": "expire",
    "lapsed": "expired",
    "cancelled": "canceled",
}
#: The same for words that sentences need: names of tests, which are sentences, may have them.
INSTEAD_BUT_IN_SENTENCES = {
    "move": "transition (of a status), or rearrange (rows)",
    "moved": "the transition's result, or changed",
    "moves": "transitions, or row buttons",
    "moving": "air movement",
    "kept": "saved, cached, stored, met (a rule), or retained (money)",
    "posted": "submitted",
    "typed": "entered or submitted",
    "said": "stated, or the text shown",
}
#: Endings of class names -> the standard ending.
ENDINGS = {"Keep": "Data", "Facts": "Data", "Offer": "Quote (an offer is what a pack costs: costing.purchasing)"}
#: Names of one part that would be taken for something else, each with what to call it.
WHOLE_NAMES = {
    "once": "idempotency_key",
    "made_up": "compute_totals",
    "shared_out": "allocate",
    "handed_over": "delivered",
    "frozen_rows": "immutable_rows",
}
#: Names that are right although they contain such a word, each with the reason; a CSS class begins with a point.
ALLOWED = {
    "LETTER": "the paper size US Letter",
    ".us-letter": "the paper size US Letter",
    "document-letter": "the paper size US Letter",
    ".letterhead": "the head of a page with the kitchen's name",
    "Offer": "what a pack costs, in costing.purchasing",
    ".said": "a message after an action",
    ".said-list": "the list of messages",
}
#: What a file has to contain before it is looked at closely, which takes longer.
SUSPECT = re.compile("|".join((*INSTEAD, *INSTEAD_BUT_IN_SENTENCES, *WHOLE_NAMES, *ENDINGS)), re.IGNORECASE)
#: Keys of file formats keep their spelling (the Book's `labour` and `moulds`, verdicts such as `kept`), but they are
#: strings where documents are read and written. No name in the code has to follow them, so none is listed here.


def parts(name: str) -> list[str]:
    """Return the words of a name in snake_case, CamelCase or kebab-case, in lower case."""
    return [word.lower() for word in re.findall(r"[A-Z]+(?![a-z])|[A-Z]?[a-z]+", name)]


def wrong(name: str, *, sentence: bool = False) -> list[str]:
    """Return what is wrong with a name, each with the word to use instead."""
    if name in ALLOWED:
        return []
    words = INSTEAD if sentence else INSTEAD | INSTEAD_BUT_IN_SENTENCES
    found = [f"{name}: not {word!r} but {words[word]}" for word in parts(name) if word in words]
    if (whole := name.strip("_.")) in WHOLE_NAMES:
        found.append(f"{name}: not {whole!r} but {WHOLE_NAMES[whole]}")
    found += [
        f"{name}: not {end!r} but {new}" for end, new in ENDINGS.items() if name[:1].isupper() and name.endswith(end)
    ]
    return found


def _python_names(tree: ast.Module) -> Iterator[str]:
    for node in ast.walk(tree):
        match node:
            case ast.ClassDef(name=name) | ast.FunctionDef(name=name) | ast.AsyncFunctionDef(name=name):
                yield name
            case ast.arg(arg=name) | ast.Name(id=name, ctx=ast.Store()):
                yield name
            case ast.alias(asname=str() as name) | ast.Attribute(attr=name, ctx=ast.Store()):
                yield name


@cache
def _names(folder: str) -> frozenset[tuple[str, str]]:
    """Return every name in a folder with the file it is in: Python names, templates, blocks and CSS classes."""
    found: set[tuple[str, str]] = set()
    for path in (ROOT / folder).rglob("*"):
        place = path.relative_to(ROOT).as_posix()
        if path.suffix not in (".py", ".html", ".txt", ".css") or "/migrations/" in place or path == Path(__file__):
            continue
        found.add((path.stem, place))
        text = path.read_text(encoding="utf-8")
        if not SUSPECT.search(text):
            continue
        if path.suffix == ".py":
            found |= {(name, place) for name in _python_names(ast.parse(text))}
        elif path.suffix == ".css":
            rules = re.sub(r"/\*.*?\*/|url\([^)]*\)", "", text, flags=re.DOTALL)
            found |= {(name, place) for name in re.findall(r"\.[a-z][a-z0-9-]*", rules)}
        else:
            blocks = re.findall(r"{% block (\w+)", text)
            classes = re.sub(r"{%.*?%}|{{.*?}}", " ", " ".join(re.findall(r'class="([^"]*)"', text))).split()
            libraries = " ".join(re.findall(r"{% load ([\w ]+)%}", text)).split()
            found |= {(name, place) for name in (*blocks, *(f".{name}" for name in classes), *libraries)}
    return frozenset(found)


@pytest.mark.parametrize("folder", FOLDERS)
def test_names_use_the_words_of_the_glossary(folder: str) -> None:
    found = [
        f"{place}: {problem}" for name, place in _names(folder) for problem in wrong(name, sentence=name[:5] == "test_")
    ]
    assert sorted(found) == []


@pytest.mark.parametrize(
    "name",
    ["letter_send", "Reckoning", "LINK_DOOR", "find_trouble", "_once", "InquiryKeep", "posted_data", ".note-letter"],
)
def test_a_word_that_has_a_standard_one_is_refused(name: str) -> None:
    assert wrong(name)


@pytest.mark.parametrize(
    "name", [".letterhead", ".us-letter", "quote_page", "findall", "InquiryData", "at_once", "sorted"]
)
def test_other_words_are_not(name: str) -> None:
    assert wrong(name) == []


def test_each_exception_is_needed() -> None:
    used = {name for folder in FOLDERS for name, _ in _names(folder)}
    assert set(ALLOWED) - used == set()
