"""A session that has to set up a second factor before anything else: it has no role until that is done."""

from collections.abc import Callable
from typing import Any, Final, TypeVar

from django.http import HttpRequest

_MUST_SET_UP: Final = "must_set_up"

View = TypeVar("View", bound=Callable[..., Any])


def restrict(request: HttpRequest) -> None:
    """Open nothing to this session but the pages that set the second factor up."""
    request.session[_MUST_SET_UP] = True


def release(request: HttpRequest) -> None:
    """Open to the session what the person's roles may open."""
    request.session.pop(_MUST_SET_UP, None)


def is_restricted(request: HttpRequest) -> bool:
    """Return whether the session has to set up a second factor first."""
    return bool(request.session.get(_MUST_SET_UP))


def before_set_up(view: View) -> View:
    """Mark a view as one of the pages that such a session may open."""
    view.before_set_up = True  # type: ignore[attr-defined]  # read by the access middleware
    return view
