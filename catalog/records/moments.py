"""Moments as a stored text wrote them: with the offset from UTC that stood in it."""

from datetime import datetime, timedelta, tzinfo
from typing import Any


class StoredOffset(tzinfo):
    """The offset of a stored text; what has it is shown by it where the kitchen's zone was corrected since."""

    def __init__(self, minutes: int) -> None:
        self._minutes = minutes

    def __getinitargs__(self) -> tuple[int]:
        return (self._minutes,)

    def utcoffset(self, _moment: datetime | None, /) -> timedelta:
        """Return the offset from UTC."""
        return timedelta(minutes=self._minutes)

    def dst(self, _moment: datetime | None, /) -> None:
        """Return None: a stored offset does not say whether it was summer time."""

    def tzname(self, _moment: datetime | None, /) -> str:
        """Return the offset as ISO 8601 writes it, such as ``-05:00``."""
        sign, (hours, minutes) = "-" if self._minutes < 0 else "+", divmod(abs(self._minutes), 60)
        return f"{sign}{hours:02}:{minutes:02}"


def moment_stored(text: str) -> datetime:
    """Read a moment of a stored text (ISO 8601 with an offset)."""
    moment = datetime.fromisoformat(text)
    offset = moment.utcoffset()
    return moment if offset is None else moment.replace(tzinfo=StoredOffset(int(offset.total_seconds()) // 60))


def same_hour(moment: datetime, zone: Any) -> datetime:
    """Return the moment at which clocks in ``zone`` show what the clock of ``moment`` shows.

    What is that moment already stays as it is, so that the hour repeated in autumn is not mistaken.
    """
    there = moment.astimezone(zone)
    return there if there.utcoffset() == moment.utcoffset() else moment.replace(tzinfo=zone, fold=0)
