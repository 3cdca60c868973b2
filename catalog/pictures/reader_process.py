"""Making an uploaded picture anew in a process of its own (`catalog.records.confined`).

It answers with a line of JSON and the bytes of what it made.
"""

import json
import sys
from typing import Any, Final

from catalog.pictures.uploads import Made, Unusable
from catalog.records.confined import NO_ROOM, TooMuch, answer_of, limit

#: Seconds of computing after the start; 50 million pixels of PNG take two.
_SECONDS: Final = 10
#: Seconds on the clock: somebody waits for the page, and the web server for its worker.
_PATIENCE: Final = 25
#: Bytes of memory: 50 million pixels with transparency, unpacked. macOS has no such limit; there the pixels' holds.
_MEMORY: Final = 640 * 1024 * 1024


def picture_read(use: str, body: bytes) -> Made:
    """Return a picture made anew from the file.

    Raises
    ------
    Unusable
        If it is no picture we take, or takes more time or memory than one.
    RuntimeError
        If the process failed for a reason of its own.
    """
    try:
        written = answer_of(__name__, use, body, patience=_PATIENCE)
    except TooMuch:
        raise Unusable("too_much") from None
    head, _, rest = written.partition(b"\n")
    return _made(json.loads(head), rest)


def _made(answer: dict[str, Any], rest: bytes) -> Made:
    if "code" in answer:
        raise Unusable(answer["code"], **answer["params"])
    bodies = []
    for length in answer["lengths"]:
        bodies.append(rest[:length])
        rest = rest[length:]
    return Made(answer["suffix"], tuple((width, height) for width, height in answer["sizes"]), tuple(bodies))


def _answer(use: str, body: bytes) -> bytes:
    # Only where there are arrays does Pillow need it, and its threads take memory before anything is read.
    sys.modules.update(numpy=None)  # type: ignore[call-overload]
    from catalog.pictures.reader import picture_made

    limit(seconds=_SECONDS, memory=_MEMORY)
    try:
        made = picture_made(use, body)
    except Unusable as unusable:
        return _line({"code": unusable.code, "params": unusable.params})
    head = {"suffix": made.suffix, "sizes": made.sizes, "lengths": [len(one) for one in made.bodies]}
    return _line(head) + b"".join(made.bodies)


def _line(answer: dict[str, Any]) -> bytes:
    return json.dumps(answer).encode() + b"\n"


def main() -> None:
    """Read the file on standard input; write the picture, or the reason why not."""
    try:
        written = _answer(sys.argv[1], sys.stdin.buffer.read())
    except NO_ROOM:
        written = _line({"code": "too_much", "params": {}})
    sys.stdout.buffer.write(written)


if __name__ == "__main__":
    main()
