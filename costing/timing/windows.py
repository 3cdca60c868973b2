"""Whether a delivery or pickup window works, why not when it does not, and the nearest window that works."""

from __future__ import annotations

from costing.timing.schedule import Answer, Obstacle, Placed, Timing
from costing.timing.spans import Minutes

GRID = 15
"""Windows are offered on quarters of an hour [min]."""


def check_window(
    timing: Timing,
    start: int,
    end: int,
    *,
    travel: int = 0,
    whole: bool = False,
    grid: int = GRID,
    sociable: Minutes | None = None,
    hand_over: Minutes | None = None,
) -> Answer:
    """Check whether an order can be handed over in a window.

    Parameters
    ----------
    timing : Timing
        The order's chains.
    start : int
        First minute of the window at the place of handing over [min].
    end : int
        Last minute of it [min], not before `start`.
    travel : int, optional
        Travel time from the kitchen to that place, loading included [min].
    whole : bool, optional
        True when the order has to be ready for the whole window (the customer collects it at any time in it); False
        when the kitchen chooses the minute.
    grid : int, optional
        Proposed windows start on multiples of this after midnight UTC [min].
    sociable : Minutes, optional
        The hours in which windows are proposed, so that none is proposed at night; any minute where none of these
        works.
    hand_over : Minutes, optional
        When things may be picked up or leave: the whole window lies in it where the customer collects, else leaving
        for the window's start does. Windows are proposed within it alone. None where any minute will do.

    Returns
    -------
    Answer
        With the latest start and a schedule as late as possible for the window, or for the nearest one that works.
    """
    ready = timing.departures().later(travel, travel)
    # Minutes of arrival that are allowed, and arrivals that are.
    allowed = None if hand_over is None else hand_over.later(travel, travel)
    arrivals = ready if allowed is None else ready & allowed
    inside = allowed is None or _works(allowed, start, end if whole else start, whole=whole)
    if inside and _works(arrivals, start, end, whole=whole):
        placed = timing.schedule(_arrival(arrivals, start, end, whole=whole) - travel)
        return Answer(True, None, (start, end), _begin(placed), placed)
    # What is ready in time fails for the hours of handing over alone.
    closed = not inside or _works(ready, start, end, whole=whole)
    reason = Obstacle("closed", "", None, None) if closed else _reason(timing, start, end, travel, whole=whole)
    preferred = [arrivals] if sociable is None else [arrivals & sociable, arrivals]
    found = (_nearest(minutes, start, end - start, whole=whole, grid=grid) for minutes in preferred)
    nearest = next((window for window in found if window is not None), None)
    if nearest is None:
        return Answer(False, reason, None, None)
    placed = timing.schedule(_arrival(arrivals, *nearest, whole=whole) - travel)
    return Answer(False, reason, nearest, _begin(placed), placed)


def _begin(placed: tuple[Placed, ...]) -> int | None:
    return min((item.start for item in placed), default=None)


def _works(arrivals: Minutes, start: int, end: int, *, whole: bool) -> bool:
    if whole:
        return any(first <= start and end <= last for first, last in arrivals.spans)
    return bool(arrivals & Minutes.of([(start, end)]))


def _arrival(arrivals: Minutes, start: int, end: int, *, whole: bool) -> int:
    """Return the minute of arrival: the start when the order has to be there for the whole window, else the last."""
    found = start if whole else arrivals.latest(end)
    return start if found is None else found


def _nearest(arrivals: Minutes, start: int, length: int, *, whole: bool, grid: int) -> tuple[int, int] | None:
    """Return the nearest window of the same length on the grid that works; of two equally near, the later."""
    found: list[tuple[int, int, int]] = []
    for first, last in arrivals.spans:
        least, most = (first, last - length) if whole else (first - length, last)
        # Start at the minute the order is ready, so that the proposed window does not begin before that.
        least = max(least, first)
        low, high = -(-least // grid) * grid, most // grid * grid
        if low <= high:
            wanted = min(max(-(-start // grid) * grid, low), high)
            found.append((abs(wanted - start), -wanted, wanted))
    if not found:
        return None
    best = min(found)[2]
    return best, best + length


def _reason(timing: Timing, start: int, end: int, travel: int, *, whole: bool) -> Obstacle:
    """Find the product that makes the window fail, its longest step, and the minute that works for it."""
    following: list[tuple[int, str]] = []
    past: list[tuple[int, str]] = []
    for code in timing.products:
        usable = timing.usable(code)
        if not usable:
            return Obstacle("never", timing.works[code].name, None, None)
        if _works(usable, start - travel, end - travel, whole=whole):
            continue
        later = [first for first, _ in usable.spans if first > start - travel]
        if later:
            following.append((min(later), code))
        else:
            past.append((usable.spans[-1][1], code))
    if past:
        minute, code = min(past)
        return _because(timing, "not_after", code, minute, travel)
    if following:
        minute, code = max(following)
        return _because(timing, "not_before", code, minute, travel)
    return _together(timing, start, travel)


def _together(timing: Timing, start: int, travel: int) -> Obstacle:
    """Each product alone could make the window, but at no minute in it can all of them leave."""
    following = [first for first, _ in timing.departures().spans if first > start - travel]
    name = timing.works[timing.products[0]].name
    if not following:
        return Obstacle("never", name, None, None)
    return Obstacle("not_before", name, None, min(following) + travel)


def _because(timing: Timing, kind: str, code: str, minute: int, travel: int) -> Obstacle:
    placed = timing.of_one(code).schedule(minute)
    longest = max(placed, key=lambda item: (item.end - item.start, -item.start), default=None)
    name = timing.works[code].name
    if longest is None:
        return Obstacle(kind, name, None, minute + travel)
    step = longest.step
    return Obstacle(kind, name, step.name, minute + travel, longest.start, longest.end, step.until_c)
