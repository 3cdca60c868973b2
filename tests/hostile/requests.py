"""Hostile requests: a form of the site with some of its fields spoiled, or an address, method, body or header bent.

Each is made from a seed and its number alone, so that one that fails can be sent again.
"""

import json
import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, Final
from urllib.parse import quote, urlencode, urlsplit

from tests.hostile import corpus
from tests.hostile.price_lists import FILES
from tests.hostile.site import Form, Site

#: A server takes no longer line; a body is a little longer than what is taken.
_LONGEST_PATH: Final = 8000
_LONGEST_BODY: Final = 6_000_000
_BOUNDARY: Final = "hostile-boundary"
_LIKELY: Final = {
    "date": "2027-03-06",
    "time": "14:30",
    "email": "wren@fenwick.example",
    "number": "3",
    "checkbox": "on",
}
_SMALL_FILES: Final = ("no harm", "a workbook with locked parts", "entities of entities", "NULs", "UTF-16")
_FILE_NAMES: Final = (
    "prices.csv",
    "prices.xlsx",
    "",
    "../../a.csv",
    "a\x00.csv",
    "é" * 300 + ".csv",
    "a\r\nb.csv",
    "x.exe",
)
Pairs = list[tuple[str, str]]


@dataclass
class Attempt:
    """A request, as the test client sends it."""

    number: int
    actor: str
    method: str
    path: str
    body: bytes = b""
    content_type: str = "application/x-www-form-urlencoded"
    headers: dict[str, str] = field(default_factory=dict)

    def __str__(self) -> str:
        return f"#{self.number} {self.actor} {self.method} {self.path[:200]!r} {self.headers} {self.body[:2000]!r}"


def searches(site: Site) -> Iterator[Attempt]:
    """Give every search and filter of a page what databases cannot look for."""
    for form in site.forms:
        if form.method == "GET":
            query = _written([(name, "a\x00b") for name, _, _ in form.fields])
            yield Attempt(0, form.actor, "GET", f"{form.action.partition('?')[0]}?{query}")


def attempt(site: Site, seed: str, number: int) -> Attempt:
    """Return a request of a seed."""
    draw = random.Random(f"{seed}:{number}")
    if draw.random() < 0.75:
        made = _form_sent(site.forms[number % len(site.forms)], draw, number)
    else:
        made = _address_tried(site, draw, number)
    if draw.random() < 0.2:
        made.headers.update(draw.choice(corpus.HEADERS) for _ in range(draw.randint(1, 3)))
    if draw.random() < 0.05:
        made.method = draw.choice(corpus.METHODS)
    if draw.random() < 0.05:
        made.actor = draw.choice(sorted(site.clients))
    return made


def _form_sent(form: Form, draw: random.Random, number: int) -> Attempt:
    pairs = _spoiled(_filled(form, draw), draw)
    made = Attempt(number, form.actor, form.method, form.action)
    if form.method == "GET":
        made.path = f"{form.action.partition('?')[0]}?{_written(pairs)}"[:_LONGEST_PATH]
    elif form.multipart or draw.random() < 0.05:
        files = [name for name, _, kind in form.fields if kind == "file"] or [draw.choice(["file", "title"])]
        made.content_type = f"multipart/form-data; boundary={_BOUNDARY}"
        made.body = _multipart(pairs, files, draw)
    else:
        made.body = _written(pairs).encode()[:_LONGEST_BODY]
    if draw.random() < 0.08:
        _body_bent(made, draw)
    return made


def _filled(form: Form, draw: random.Random) -> Pairs:
    """Fill a form as a person would: what stands in it, a likely value where nothing does."""
    pairs: Pairs = []
    choices: dict[str, list[str]] = {}
    for name, text, kind in form.fields:
        if kind in ("choice", "radio"):
            choices.setdefault(name, []).append(text)
        elif kind in ("submit", "checkbox"):
            if draw.random() < 0.5:
                pairs.append((name, text or "on"))
        elif kind != "file":
            pairs.append((name, text or _likely(name, kind)))
    return pairs + [(name, draw.choice([one for one in given if one] or [""])) for name, given in choices.items()]


def _likely(name: str, kind: str) -> str:
    plain = name.rpartition("-")[2]
    for part, text in (("date", "2027-03-06"), ("day", "2027-03-06"), ("email", _LIKELY["email"]), ("amount", "12.50")):
        if part in plain:
            return text
    return _LIKELY.get(kind, "3" if any(part in plain for part in ("minutes", "price", "share", "units")) else "5 lb")


def _spoiled(pairs: Pairs, draw: random.Random) -> Pairs:
    """Spoil some of the fields: another value, none, the value twice; or leave the whole form as it is."""
    if not pairs or draw.random() < 0.05:
        return pairs
    spoiled = list(pairs)
    for _ in range(draw.choice([1, 1, 1, 2, 3, len(pairs)])):
        at = draw.randrange(len(spoiled))
        name, _text = spoiled[at]
        how = draw.random()
        if how < 0.8:
            spoiled[at] = (name, corpus.value(draw))
        elif how < 0.9 and len(spoiled) > 1:
            del spoiled[at]
        else:
            spoiled.append((name, corpus.value(draw)))
    if draw.random() < 0.1:
        return [(name, text) for name, text in spoiled if not name.endswith("_FORMS")]
    if draw.random() < 0.03:
        spoiled += [(corpus.value(draw)[:200], corpus.value(draw)[:200]), ("a", "b")] * draw.choice([1, 3000])
    return spoiled


def _bytes(text: str) -> bytes:
    return text.encode("utf-8", "surrogatepass")


def _written(pairs: Pairs) -> str:
    return urlencode([(_bytes(name), _bytes(text)) for name, text in pairs])


def _multipart(pairs: Pairs, files: list[str], draw: random.Random) -> bytes:
    parts = [
        b'Content-Disposition: form-data; name="%s"\r\n\r\n%s' % (_bytes(name), _bytes(text)) for name, text in pairs
    ]
    for name in files:
        content = FILES[draw.choice(_SMALL_FILES)][1]() if draw.random() < 0.7 else _bytes(corpus.value(draw))
        head = f'Content-Disposition: form-data; name="{name}"; filename="{draw.choice(_FILE_NAMES)}"'
        parts.append(_bytes(head) + b"\r\nContent-Type: text/csv\r\n\r\n" + content)
    mark = b"--" + _BOUNDARY.encode()
    whole = b"".join(mark + b"\r\n" + part + b"\r\n" for part in parts) + mark + b"--\r\n"
    return whole[: draw.randrange(len(whole))] if draw.random() < 0.15 else whole


def _body_bent(made: Attempt, draw: random.Random) -> None:
    """Give the body another type than it has, or make it nothing that can be read."""
    bent: list[tuple[str, bytes]] = [
        ("application/json", made.body),
        ("application/json", json.dumps({"title": [[[]]]}).encode()),
        ("application/json", b'{"a":' * 5000),
        ("multipart/form-data", made.body),
        ("multipart/form-data; boundary=" + "b" * 300, made.body),
        ("multipart/form-data; boundary=\x00", made.body),
        (f"multipart/form-data; boundary={_BOUNDARY}", made.body),
        (f"multipart/form-data; boundary={_BOUNDARY}", b"--" + _BOUNDARY.encode() + b"\r\n" * 3000),
        ("application/x-www-form-urlencoded; charset=utf-7", made.body),
        ("application/x-www-form-urlencoded; charset=nothing", made.body),
        ("text/plain", made.body),
        ("", made.body),
        ("application/x-www-form-urlencoded", b"%" * 3000 + b"&=&=;\xff\xfe\x00"),
        ("application/x-www-form-urlencoded", b"a=" + b"b" * (6 * 1024 * 1024)),
    ]
    made.content_type, made.body = draw.choice(bent)


def _address_tried(site: Site, draw: random.Random, number: int) -> Attempt:
    """Try an address: one of the site's with another row, a query nobody asked for, or one that tricks."""
    actor = draw.choice(sorted(site.clients))
    if draw.random() < 0.25:
        return Attempt(number, actor, "GET", draw.choice(corpus.PATHS))
    path = urlsplit(site.paths[number % len(site.paths)]).path
    rows = ["0", "1", "2", "999999", "2147483648", "9223372036854775808", "9" * 40, "-1", "٣"]
    pieces = [quote(draw.choice(rows)) if piece.isdigit() else piece for piece in path.split("/")]
    names = [name for form in site.forms if form.method == "GET" for name, _, _ in form.fields] or ["page"]
    query = [(draw.choice([*names, "page", "next"]), corpus.value(draw)) for _ in range(draw.randint(0, 3))]
    method = draw.choice(["GET", "GET", "POST", *corpus.METHODS])
    return Attempt(number, actor, method, "/".join(pieces) + (f"?{_written(query)}" if query else ""))


def environment(made: Attempt) -> dict[str, Any]:
    """Return a request's headers as a server hands them on."""
    found: dict[str, Any] = {}
    for name, text in made.headers.items():
        key = name.upper().replace("-", "_")
        # A server reads the bytes of a header as Latin-1.
        found[key if key.startswith("CONTENT_") else f"HTTP_{key}"] = _bytes(text).decode("latin-1")
    return found
