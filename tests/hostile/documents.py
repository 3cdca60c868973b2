"""Books, Briefs and cooling cases that mean harm: a sound document with some of its values spoiled, or bent as text."""

import copy
import json
import random
from typing import Any, Final

from tests.hostile import corpus

_DEEP: Final = 20_000


def spoiled(document: Any, draw: random.Random) -> bytes:
    """Return a document with one to four things spoiled, as text."""
    changed = copy.deepcopy(document)
    for _ in range(draw.choice([1, 1, 2, 4])):
        _spoil(changed, draw)
    text = json.dumps(changed).encode()
    return _bent(text, draw) if draw.random() < 0.15 else text


def _spoil(inside: Any, draw: random.Random) -> None:
    """Go down to any value and replace it, remove it, or put one beside it."""
    while True:
        keys = list(inside) if isinstance(inside, dict) else list(range(len(inside)))
        if not keys:
            return
        key = draw.choice(keys)
        if isinstance(inside[key], dict | list) and inside[key] and draw.random() < 0.85:
            inside = inside[key]
            continue
        break
    how = draw.random()
    if how < 0.7:
        inside[key] = draw.choice(corpus.JSON_VALUES)
    elif how < 0.85:
        del inside[key]
    elif isinstance(inside, dict):
        inside[draw.choice([str(key), *corpus.VALUES])] = draw.choice(corpus.JSON_VALUES)
    else:
        inside.append(copy.deepcopy(draw.choice(inside)))


def _bent(text: bytes, draw: random.Random) -> bytes:
    return draw.choice(
        [
            b"",
            text[: draw.randrange(len(text))],
            text + text,
            b"\xef\xbb\xbf" + text,
            text.decode().encode("utf-16"),
            b"\xff\xfe\x00",
            text.replace(b"{", b'{"a": 1, "a": 2, ', 3),
            text.replace(b'"', b"'"),
            b"[" * _DEEP + b"]" * _DEEP,
            b'{"a":' * _DEEP + b"1" + b"}" * _DEEP,
            b"9" * 100_000,
            b"-" + text,
            text.replace(b": ", b": \x00", 1),
            b"null",
            b'"' + b"\\ud800" * 1000 + b'"',
        ]
    )
