"""Which desserts of a quote are kept cold, and how long they may be out of the cold, in one sentence."""

from django.utils.translation import gettext

from catalog.cooling.cold_holding import holds_cold
from catalog.web import display
from orders.documents.content import QuoteContent


def cold_words(content: QuoteContent) -> str:
    """Write the limits of time out of the cold that a rule sets; empty where some cooled dessert has no such limit.

    The shortest limit stands for all where they differ: who goes by it keeps every one. Beside what is kept at room
    temperature, what is kept cold is named.
    """
    limited = [line for line in content.lines if line.out_minutes is not None]
    if not limited or any(line.until_warm for line in limited):
        return ""
    least, names = min(line.out_minutes or 0 for line in limited), _named(content)
    if not least and names:
        return gettext("Keep cold until served: %(names)s.") % {"names": names}
    if not least:
        return gettext("Keep cold until it is served.")
    under = any(line.out_under for line in limited if line.out_minutes == least)
    differ = len({(line.out_minutes, line.out_under) for line in limited}) > 1
    which = _shortest(under=under) if differ else _all_alike(under=under)
    planned = [line.serve_by for line in limited if line.serve_by is not None]
    clock = gettext("Serve by %(clock)s.") % {"clock": display.clock(min(planned))} if planned else ""
    keep = gettext("Keep cold: %(names)s.") % {"names": names} if names else gettext("Keep cold.")
    return " ".join(filter(None, (keep, which % {"time": display.duration(least)}, clock)))


def _named(content: QuoteContent) -> str:
    """Return the names of what is kept cold; empty where all of it is."""
    cold = [line.name for line in content.lines if line.out_minutes is not None or holds_cold(line.holding)]
    return "" if len(cold) == len(content.lines) else display.joined(cold)


def _all_alike(*, under: bool) -> str:
    if under:
        return gettext("Less than %(time)s out of the cold in all, then throw away.")
    return gettext("At most %(time)s out of the cold in all, then throw away.")


def _shortest(*, under: bool) -> str:
    if under:
        return gettext("Less than %(time)s out of the cold in all, some desserts longer, then throw away.")
    return gettext("At most %(time)s out of the cold in all, some desserts longer, then throw away.")
