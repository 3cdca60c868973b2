"""Reading an uploaded picture in a process of its own, with a limit of time and memory that no file can pass.

The process gets the file's bytes and nothing else: no settings, no secrets, no database. It answers with a line of JSON
and the bytes of what it made. What ends it from outside (the limit, a crash of a decoder) is the file's fault and says
so; a process that cannot be started is not.
"""

import json
import resource
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any, Final

from catalog.pictures.uploads import Made, Unusable

#: Seconds of computing after the start; 50 million pixels of PNG take two.
_SECONDS: Final = 10
#: Seconds on the clock: somebody waits for the page, and the web server for its worker.
_PATIENCE: Final = 25
#: Bytes of memory: 50 million pixels with transparency, unpacked. macOS has no such limit; there the pixels' holds.
_MEMORY: Final = 640 * 1024 * 1024
_ROOT: Final = Path(__file__).resolve().parents[2]


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
        ended = subprocess.run(  # noqa: S603 - this program's own module; the file is its input
            [sys.executable, "-m", __name__, use],
            input=body,
            capture_output=True,
            timeout=_PATIENCE,
            cwd=_ROOT,
            env={"PYTHONPATH": str(_ROOT), "PYTHONDONTWRITEBYTECODE": "1"},
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise Unusable("too_much") from None
    if ended.returncode < 0:
        raise Unusable("too_much")
    if ended.returncode:
        raise RuntimeError(ended.stderr.decode(errors="replace")[-300:])
    head, _, rest = ended.stdout.partition(b"\n")
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

    _limit()
    try:
        made = picture_made(use, body)
    except Unusable as unusable:
        return _line({"code": unusable.code, "params": unusable.params})
    head = {"suffix": made.suffix, "sizes": made.sizes, "lengths": [len(one) for one in made.bodies]}
    return _line(head) + b"".join(made.bodies)


def _line(answer: dict[str, Any]) -> bytes:
    return json.dumps(answer).encode() + b"\n"


def _limit() -> None:
    """End this process when it computes too long, also inside a decoder; refuse it memory above its limit."""
    signal.setitimer(signal.ITIMER_PROF, _SECONDS)
    _, most = resource.getrlimit(resource.RLIMIT_DATA)
    if most == resource.RLIM_INFINITY or most > _MEMORY:
        resource.setrlimit(resource.RLIMIT_DATA, (_MEMORY, _MEMORY))


def main() -> None:
    """Read the file on standard input; write the picture, or the reason why not."""
    try:
        written = _answer(sys.argv[1], sys.stdin.buffer.read())
    except MemoryError:
        written = _line({"code": "too_much", "params": {}})
    sys.stdout.buffer.write(written)


if __name__ == "__main__":
    main()
