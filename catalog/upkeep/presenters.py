"""How the service is, in sentences for the owner."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from fractions import Fraction

from django.conf import settings
from django.utils import timezone
from django.utils.translation import gettext, ngettext

from catalog.outbox.presenters import work_problem
from catalog.upkeep.selectors import BackupState, DiskState, LoopState, Upkeep, WorkState
from catalog.upkeep.site import local_site
from catalog.web.display import clock, moment, plain


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
        Part(gettext("Address"), True, _address()),
        Part(gettext("Files"), state.files.well, _files(state.files, state.at)),
        Part(gettext("Background work"), state.loop.well, _loop(state.loop, state.at)),
        Part(gettext("Backups"), not state.backup.late, _backup(state.backup, state.at)),
        Part(gettext("Disk space"), state.disk.well, _disk(state.disk)),
    ]


def upkeep_notes(state: Upkeep) -> list[str]:
    """Return a sentence for each part that is not well; what failed for good stands on the front page by itself."""
    mail, files = replace(state.mail, failed=0), replace(state.files, failed=0)
    parts = upkeep_parts(replace(state, mail=mail, files=files))
    return [part.first for part in parts if not part.well]


def _mail(state: Upkeep) -> Part:
    sentences = _work(state.mail, state.at, _mail_words)
    last = state.mail.last_done_at
    if last is None:
        sentences.append(gettext("No e-mail has been written yet."))
    else:
        words = (
            gettext("The last one was written %(when)s.")
            if state.mail_to_files
            else gettext("The last e-mail was sent %(when)s.")
        )
        sentences.append(words % {"when": _when(last, state.at)})
    if not state.mail_to_files:
        return Part(gettext("E-mail"), state.mail.well, sentences)
    no_server = gettext("No mail server is set up: e-mails are written to files on the server and reach nobody.")
    return Part(gettext("E-mail"), state.mail.well and not settings.HTTPS, [no_server, *sentences])


def _address() -> list[str]:
    """Write what links to customers begin with, and what to set where only this computer answers there."""
    words = [gettext("Private links and e-mails begin with %(site)s.") % {"site": settings.SITE_URL}]
    if local_site():
        words.append(
            gettext(
                "Only this computer answers there, so customers cannot open them. Set COLDSET_SITE_URL to the address"
                " customers use, such as https://kitchen.example, and COLDSET_HOSTS to its name; then restart the"
                " service. README.md shows the whole setup."
            )
        )
    return words


def _files(work: WorkState, at: datetime) -> list[str]:
    last = work.last_done_at
    made = (
        gettext("The last file was made %(when)s.") % {"when": _when(last, at)}
        if last
        else gettext("No file has been made yet.")
    )
    return [*_work(work, at, _file_words), made]


def _work(work: WorkState, at: datetime, words: Callable[[int, int], tuple[str, str]]) -> list[str]:
    sentences = []
    failed, waiting = words(work.failed, work.waiting)
    since = {"since": _since(work.waiting_since, at)}
    if work.failed:
        sentences.append(failed)
    if work.problem is not None:
        again = ngettext("It is tried again automatically.", "They are tried again automatically.", work.waiting)
        sentences.append(f"{waiting % since} {again} {work_problem(work.problem)}")
    elif work.waiting:
        sentences.append(waiting % since)
    return sentences


def _mail_words(failed: int, waiting: int) -> tuple[str, str]:
    """Write how many mails could not be sent, and how many wait, since a time that is filled in."""
    return (
        ngettext(
            "%(n)s e-mail could not be sent. “E-mails” shows why, and can try it again.",
            "%(n)s e-mails could not be sent. “E-mails” shows why, and can try them again.",
            failed,
        )
        % {"n": failed},
        ngettext(
            "%(n)s e-mail has been waiting since %(since)s.",
            "%(n)s e-mails have been waiting since %(since)s.",
            waiting,
        )
        % {"n": waiting, "since": "%(since)s"},
    )


def _file_words(failed: int, waiting: int) -> tuple[str, str]:
    """Write how many files could not be made, and how many wait, since a time that is filled in."""
    return (
        ngettext(
            "%(n)s file could not be made. “E-mails” shows why, and can try it again.",
            "%(n)s files could not be made. “E-mails” shows why, and can try them again.",
            failed,
        )
        % {"n": failed},
        ngettext(
            "%(n)s file has been waiting since %(since)s.", "%(n)s files have been waiting since %(since)s.", waiting
        )
        % {"n": waiting, "since": "%(since)s"},
    )


def _loop(loop: LoopState, at: datetime) -> list[str]:
    seen = [gettext("It last ran %(when)s.") % {"when": _when(loop.seen_at, at)}] if loop.seen_at else []
    nothing = loop.seen_at if loop.silent else loop.untouched_since if not loop.seen_at else None
    if loop.silent or nothing:
        return [
            gettext(
                "Nothing has worked on mails and files since %(since)s. Ask whoever runs the server to start the"
                " background work."
            )
            % {"since": _since(nothing, at)}
        ]
    if loop.untouched_since:
        late = gettext("It is behind: the oldest work has been due since %(since)s.")
        return [late % {"since": _since(loop.untouched_since, at)}, *seen]
    return seen or [gettext("Nothing is waiting to be done.")]


def _backup(backup: BackupState, at: datetime) -> list[str]:
    last = backup.last
    if last is None:
        if not backup.days:
            return [gettext("No backup has been made. This service is set up to run without backups.")]
        return [
            gettext(
                "No backup has been made yet. Ask whoever runs the server to make one every night, and to keep it"
                " elsewhere."
            )
        ]
    made = (
        gettext("The last backup was made %(when)s (%(size)s, encrypted).")
        if last.encrypted
        else gettext("The last backup was made %(when)s (%(size)s, not encrypted).")
    ) % {"when": _when(last.at, at), "size": _size(last.size)}
    if backup.late:
        late = ngettext(
            "The last backup is more than a day old. Ask whoever runs the server why.",
            "The last backup is more than %(days)s days old. Ask whoever runs the server why.",
            backup.days,
        )
        return [late % {"days": backup.days}, made]
    return [made]


def _disk(room: DiskState) -> list[str]:
    free = _size(room.free)
    if not room.writable:
        return [
            gettext(
                "The service cannot write to its folder: nothing new can be saved. Ask whoever runs the server at once."
            )
        ]
    if room.low:
        return [
            gettext(
                "Only %(size)s are free. Ask whoever runs the server to make room before nothing more can be saved."
            )
            % {"size": free}
        ]
    return [gettext("%(size)s are free.") % {"size": free}]


def _when(value: datetime | None, at: datetime) -> str:
    if value is None:
        return gettext("at an unknown time")
    days = timezone.localdate(at) - timezone.localdate(value)
    if days == timedelta(0):
        return gettext("today at %(time)s") % {"time": clock(value)}
    if days == timedelta(1):
        return gettext("yesterday at %(time)s") % {"time": clock(value)}
    return gettext("on %(moment)s") % {"moment": moment(value)}


def _since(value: datetime | None, at: datetime) -> str:
    days = None if value is None else timezone.localdate(at) - timezone.localdate(value)
    if value is None:
        return gettext("an unknown time")
    return moment(value) if days is not None and days > timedelta(1) else _when(value, at)


def _size(size: int) -> str:
    for unit, name in ((10**9, "GB"), (10**6, "MB")):
        if size >= unit:
            return f"{plain(Fraction(size, unit), 1)} {name}"
    return f"{plain(Fraction(size, 1000), 0)} kB"
