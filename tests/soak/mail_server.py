"""A mail server with bad days: ``python -m tests.soak.mail_server PORT FILE SEED [bad]``.

It writes a line of JSON with the Message-ID for each message it accepted, and another when the client had not said
goodbye by then: that send was interrupted, and the client cannot know that it arrived. A line too for each recipient
that it refused for good. With ``bad`` it stalls, drops
the connection, refuses now or for good, says nothing bit by bit without an end, or forgets its answer, as the seed has
it; addresses that begin with ``nobody`` it refuses always.
"""

import asyncio
import json
import random
import sys
from contextlib import suppress
from dataclasses import dataclass
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
        dialogue = Dialogue(self, reader, writer, self.misfortune())
        with suppress(Hangup, OSError, asyncio.IncompleteReadError):
            await dialogue.hold()
        if dialogue.accepted and not dialogue.is_over:
            self.note(dialogue.accepted, "interrupted")
        writer.close()

    def note(self, message: str, event: str) -> None:
        """Write down what became of a message."""
        with self.file.open("a", encoding="utf-8") as file:
            file.write(json.dumps({"id": message, "event": event}) + "\n")


@dataclass
class Dialogue:
    """One connection: what goes wrong with it, the message it brought, and whether the client said goodbye."""

    server: MailServer
    reader: asyncio.StreamReader
    writer: asyncio.StreamWriter
    wrong: str
    accepted: str = ""
    is_over: bool = False

    async def hold(self) -> None:
        """Answer line by line."""
        _unless(self.wrong, "drop at once")
        if self.wrong == "stall":
            await self._silence()
        while self.wrong == "trickle":
            await self._write(b"220-wait\r\n")
            await asyncio.sleep(0.2)
        await self._write(b"220 soak\r\n")
        while line := await self.reader.readline():
            word = line[:4].upper().strip()
            if word == b"QUIT":
                self.is_over = True
                await self._write(b"221 bye\r\n")
                return
            if word == b"DATA":
                await self._write(b"354 go on\r\n")
                await self._write(await self._message())
            else:
                await self._write(self._reply(word, line))

    def _reply(self, word: bytes, line: bytes) -> bytes:
        if word != b"RCPT":
            return b"250 soak\r\n"
        _unless(self.wrong, "drop at the recipient")
        if self.wrong == "refuse for now":
            return b"451 try again later\r\n"
        if b"<nobody" in line.lower():
            self.server.note(line.decode("ascii", "replace").strip(), "refused for good")
            return b"550 unknown here\r\n"
        return b"250 ok\r\n"

    async def _write(self, line: bytes) -> None:
        self.writer.write(line)
        await self.writer.drain()

    async def _silence(self) -> None:
        """Say nothing until the client has gone."""
        while await self.reader.read(1024):
            pass
        raise Hangup

    async def _message(self) -> bytes:
        _unless(self.wrong, "drop in the message")
        body = await self.reader.readuntil(b"\r\n.\r\n")
        if self.wrong == "refuse the message":
            return b"451 not now\r\n"
        self.accepted = str(message_from_bytes(body[:-5])["Message-ID"]).strip()
        self.server.note(self.accepted, "accepted")
        if self.wrong == "forget":
            await self._silence()
        return b"250 taken\r\n"


def _unless(wrong: str, kind: str) -> None:
    if wrong == kind:
        raise Hangup


async def main(port: int, server: MailServer) -> None:
    """Serve until killed."""
    listening = await asyncio.start_server(server.talk, "127.0.0.1", port, limit=2**24)
    async with listening:
        await listening.serve_forever()


if __name__ == "__main__":
    asyncio.run(main(int(sys.argv[1]), MailServer(Path(sys.argv[2]), int(sys.argv[3]), "bad" in sys.argv[4:])))
