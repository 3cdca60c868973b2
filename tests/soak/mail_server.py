"""A mail server with bad days: ``python -m tests.soak.mail_server PORT FILE SEED [bad]``.

It writes a line of JSON for each message it accepted: the Message-ID, and whether it forgot to say so. With ``bad`` it
stalls, drops the connection, refuses now or for good, says nothing for ever bit by bit, or forgets its answer, as the
seed has it; addresses that begin with ``nobody`` it refuses always.
"""

import asyncio
import json
import random
import sys
from contextlib import suppress
from email import message_from_bytes
from pathlib import Path
from typing import Final

#: What goes wrong -> how often, of 100 connections.
MISFORTUNES: Final = {
    "drop at once": 3,
    "drop at the recipient": 3,
    "drop in the message": 3,
    "refuse for now": 6,
    "refuse the message": 3,
    "stall": 3,
    "trickle": 1,
    "forget": 4,
}
_LONG: Final = 60


class Hangup(Exception):
    """The server breaks off."""


class MailServer:
    """Answers connections and writes down what it accepted."""

    def __init__(self, file: Path, seed: int, is_bad: bool) -> None:
        self.file, self.random, self.is_bad = file, random.Random(seed), is_bad

    def misfortune(self) -> str:
        """Return what goes wrong with the next connection; empty for nothing."""
        if not self.is_bad:
            return ""
        kinds, weights = list(MISFORTUNES), list(MISFORTUNES.values())
        return self.random.choices([*kinds, ""], [*weights, 100 - sum(weights)])[0]

    async def talk(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        """Have one dialogue."""
        with suppress(Hangup, OSError, asyncio.IncompleteReadError):
            await self._talk(reader, writer, self.misfortune())
        writer.close()

    async def _talk(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter, wrong: str) -> None:
        _unless(wrong, "drop at once")
        if wrong == "stall":
            await asyncio.sleep(_LONG)
        while wrong == "trickle":
            writer.write(b"220-wait\r\n")
            await writer.drain()
            await asyncio.sleep(0.2)
        writer.write(b"220 soak\r\n")
        while line := await reader.readline():
            word = line[:4].upper().strip()
            if word == b"QUIT":
                writer.write(b"221 bye\r\n")
                return
            if word == b"DATA":
                writer.write(b"354 go on\r\n")
                await writer.drain()
                writer.write(await self._message(reader, wrong))
            else:
                writer.write(_answer(word, line, wrong))
            await writer.drain()

    async def _message(self, reader: asyncio.StreamReader, wrong: str) -> bytes:
        _unless(wrong, "drop in the message")
        body = await reader.readuntil(b"\r\n.\r\n")
        if wrong == "refuse the message":
            return b"451 not now\r\n"
        message = message_from_bytes(body[:-5])
        line = {"id": str(message["Message-ID"]).strip(), "forgot": wrong == "forget"}
        with self.file.open("a", encoding="utf-8") as file:
            file.write(json.dumps(line) + "\n")
        if wrong == "forget":
            await asyncio.sleep(_LONG)
            raise Hangup
        return b"250 taken\r\n"


def _unless(wrong: str, kind: str) -> None:
    if wrong == kind:
        raise Hangup


def _answer(word: bytes, line: bytes, wrong: str) -> bytes:
    if word != b"RCPT":
        return b"250 soak\r\n"
    _unless(wrong, "drop at the recipient")
    if wrong == "refuse for now":
        return b"451 try again later\r\n"
    return b"550 unknown here\r\n" if b"<nobody" in line.lower() else b"250 ok\r\n"


async def main(port: int, server: MailServer) -> None:
    """Serve until killed."""
    listening = await asyncio.start_server(server.talk, "127.0.0.1", port, limit=2**24)
    async with listening:
        await listening.serve_forever()


if __name__ == "__main__":
    asyncio.run(main(int(sys.argv[1]), MailServer(Path(sys.argv[2]), int(sys.argv[3]), "bad" in sys.argv[4:])))
