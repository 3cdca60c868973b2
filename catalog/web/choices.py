"""Choices of a form that must still offer what was saved before."""

from collections.abc import Iterable


def choices_with(choices: Iterable[tuple[str, str]], saved: str) -> list[tuple[str, str]]:
    """Return the choices and, if it is none of them, what was saved before."""
    listed = list(choices)
    return listed if not saved or saved in dict(listed) else [(saved, saved), *listed]
