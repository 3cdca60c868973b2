"""Choices of a form that must still include the saved value."""

from collections.abc import Iterable


def choices_with(choices: Iterable[tuple[str, str]], saved: str) -> list[tuple[str, str]]:
    """Return the choices, and the saved value if it is not among them."""
    listed = list(choices)
    return listed if not saved or saved in dict(listed) else [(saved, saved), *listed]
