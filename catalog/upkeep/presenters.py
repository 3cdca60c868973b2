"""How the service is, in sentences for the owner."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from fractions import Fraction
from typing import Final

from django.conf import settings
from django.utils import timezone

from catalog.outbox.presenters import work_problem
from catalog.upkeep.selectors import BackupState, DiskState, LoopState, Upkeep, WorkState
from catalog.web.display import clock, moment, plain

_ASK: Final = "Ask whoever runs the server"


@dataclass(frozen=True, slots=True)
class Part:
    """One part of the page: its name, whether it is well, and the sentences that say so."""

    title: str
    well: bool
    sentences: Sequence[str]

    @property
    def first(self) -> str:
        """The sentence that says what is wrong; the front page shows it."""
        return f"{self.title}: {self.sentences[0]}"


def upkeep_parts(state: Upkeep) -> list[Part]:
    """Return the parts of the page; what is wrong comes first in each."""
    return [
        _mail(state),
        Part("Files", state.files.well, _files(state.files, state.at)),
        Part("Background work", state.loop.well, _loop(state.loop, state.at)),
        Part("Backups", not state.backup.late, _backup(state.backup, state.at)),
        Part("Disk space", state.disk.well, _disk(state.disk)),
    ]


def upkeep_notes(state: Upkeep) -> list[str]:
    """Return a sentence for each part that is not well; what failed for good stands on the front page by itself."""
    mail, files = replace(state.mail, failed=0), replace(state.files, failed=0)
    parts = upkeep_parts(replace(state, mail=mail, files=files))
    return [part.first for part in parts if not part.well]


def _mail(state: Upkeep) -> Part:
    sentences = _work(state.mail, state.at, one="mail", many="mails", failed="could not be sent")
    last = state.mail.last_done_at
    sentences.append(f"The last mail went out {_when(last, state.at)}." if last else "No mail has gone out yet.")
    if not state.mail_to_files:
        return Part("Mail", state.mail.well, sentences)
    no_server = "No mail server is set up: mails are written to files on the server and reach nobody."
    return Part("Mail", state.mail.well and not settings.HTTPS, [no_server, *sentences])


def _files(work: WorkState, at: datetime) -> list[str]:
    sentences = _work(work, at, one="file", many="files", failed="could not be made")
    last = work.last_done_at
    return [*sentences, f"The last file was made {_when(last, at)}." if last else "No file has been made yet."]


def _work(work: WorkState, at: datetime, *, one: str, many: str, failed: str) -> list[str]:
    sentences = []
    if work.failed:
        sentences.append(f"{_count(work.failed, one, many)} {failed}. “Mails sent” says why, and tries again.")
    if work.problem is not None:
        since = f"since {_when(work.waiting_since, at)}"
        why = work_problem(work.problem)
        again = "it is tried again by itself" if work.waiting == 1 else "they are tried again by themselves"
        sentences.append(f"{_waiting(work.waiting, one, many)} {since}, and {again}. {why}")
    elif work.waiting:
        sentences.append(f"{_waiting(work.waiting, one, many)} since {_when(work.waiting_since, at)}.")
    return sentences


def _loop(loop: LoopState, at: datetime) -> list[str]:
    seen = [f"It was last seen {_when(loop.seen_at, at)}."] if loop.seen_at else []
    start = f"{_ASK} to start it."
    if loop.silent:
        return [f"Nothing has worked on mails and files since {_when(loop.seen_at, at)}. {start}"]
    if loop.untouched_since and not loop.seen_at:
        return [f"Nothing has worked on mails and files since {_when(loop.untouched_since, at)}. {start}"]
    if loop.untouched_since:
        return [f"It is behind: the oldest work has been due since {_when(loop.untouched_since, at)}.", *seen]
    return seen or ["Nothing is waiting to be done."]


def _backup(backup: BackupState, at: datetime) -> list[str]:
    last = backup.last
    if last is None:
        if not backup.days:
            return ["None has been made. This service is set up not to expect any."]
        return [f"No backup has been made yet. {_ASK} to make one every night, and to keep it elsewhere."]
    kind = "encrypted" if last.encrypted else "not encrypted"
    made = f"The last backup was made {_when(last.at, at)} ({_size(last.size)}, {kind})."
    if backup.late:
        days = "a day" if backup.days == 1 else f"{backup.days} days"
        return [f"The last backup is older than {days}. {_ASK} why.", made]
    return [made]


def _disk(room: DiskState) -> list[str]:
    free = _size(room.free)
    if not room.writable:
        return [f"The service cannot write to its folder: nothing new can be saved. {_ASK} at once."]
    if room.low:
        return [f"Only {free} are free. {_ASK} to make room before nothing more can be saved."]
    return [f"{free} are free."]


def _waiting(number: int, one: str, many: str) -> str:
    return f"{_count(number, one, many)} {'has' if number == 1 else 'have'} been waiting"


def _count(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"


def _when(value: datetime | None, at: datetime) -> str:
    if value is None:
        return "an unknown time"
    days = timezone.localdate(at) - timezone.localdate(value)
    names = {timedelta(0): "today", timedelta(1): "yesterday"}
    return f"{names[days]} at {clock(value)}" if days in names else f"on {moment(value)}"


def _size(size: int) -> str:
    for unit, name in ((10**9, "GB"), (10**6, "MB")):
        if size >= unit:
            return f"{plain(Fraction(size, unit), 1)} {name}"
    return f"{plain(Fraction(size, 1000), 0)} kB"
