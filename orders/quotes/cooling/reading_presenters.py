"""When readings fall due before a quote is sent, in words: by the clock where it is planned, and who is there."""

from collections.abc import Iterable

from django.utils import timezone
from django.utils.translation import gettext

from catalog.web import display
from orders.quotes.cooling.reading_times import ReadingDue, ReadingTimes


def due_words(found: Iterable[ReadingTimes]) -> str:
    """Write when readings of an item fall due, and that somebody has to be there outside working hours."""
    times = list(found)
    words = [_after(one) for one in times]
    now = timezone.now()
    moments = [moment for one in times for each in one.due for moment in each.moments]
    if any(moment < now for moment in moments):
        words.append(gettext("This time is past: the date cannot be kept as planned."))
    outside = [moment for one in times for each in one.due for moment in each.moments if moment in each.outside]
    if ahead := dict.fromkeys(display.moment(moment) for moment in outside if moment >= now):
        text = gettext("Outside working hours: %(times)s. Choose who measures then, or start earlier.")
        words.append(text % {"times": "; ".join(ahead)})
    return " ".join(words)


def _after(one: ReadingTimes) -> str:
    limits = "; ".join(_due(each) for each in one.due)
    if not one.step:
        return gettext("Read after it leaves the heat: %(limits)s.") % {"limits": limits}
    return gettext("Read after “%(step)s”: %(limits)s.") % {"step": one.step, "limits": limits}


def _due(one: ReadingDue) -> str:
    limit = display.temperature(one.limit_c)
    if one.minutes is None:
        return gettext("%(limit)s or colder") % {"limit": limit}
    if not one.moments:
        return gettext("%(limit)s within %(time)s") % {"limit": limit, "time": display.duration(one.minutes)}
    each = []
    for number, moment in zip((1, one.loads), one.moments, strict=False):
        time = display.moment(moment)
        if moment < timezone.now():
            time = gettext("%(time)s (past)") % {"time": time}
        if one.loads == 1:
            each.append(gettext("%(limit)s by %(time)s") % {"limit": limit, "time": time})
        else:
            each.append(gettext("load %(number)s by %(time)s") % {"number": number, "time": time})
    return each[0] if one.loads == 1 else f"{limit}, {', '.join(each)}"
