"""One test for many cheap cases: every case is tried, and those that fail are named.

A parametrized test costs pytest milliseconds per case on each worker, to collect it, set it up and report it. That is
more than a case costs that reads one docstring or compares one text. Cases that share no state and need no fixture lose
nothing as one test: a failure still names its case, and the cases after it are still tried.
"""

import inspect
from collections.abc import Callable, Iterable
from typing import Any


def each(names: str | tuple[str, ...], cases: Iterable[Any], ids: Callable[[Any], object] = repr) -> Callable[..., Any]:
    """Return a decorator that makes one test of a function of one case.

    Parameters
    ----------
    names : str or tuple of str
        the function's parameters that a case fills: one name, or names for the members of a case
    cases : iterable
        what each name stands for; there has to be one at least
    ids : callable, optional
        how a case is called where it fails
    """
    found = list(cases)
    assert found, "there is no case to try"

    def one_test(function: Callable[..., None]) -> Callable[..., None]:
        def test(*bound: Any) -> None:
            failed: list[tuple[str, Exception]] = []
            for case in found:
                values = {names: case} if isinstance(names, str) else dict(zip(names, case, strict=True))
                try:
                    function(*bound, **values)
                except Exception as error:
                    error.add_note(f"The case: {ids(case)}")
                    failed.append((str(ids(case)), error))
            if failed:
                message = f"{len(failed)} of {len(found)} cases fail: {'; '.join(name for name, _ in failed)}"
                raise ExceptionGroup(message, [error for _, error in failed])

        asked = inspect.signature(function).parameters
        filled = {names} if isinstance(names, str) else {*names}
        assert filled <= {*asked}, "a case fills parameters of the function"
        assert {*asked} - filled <= {"self"}, "a case has no fixture: one case would change it for the next"
        test.__name__, test.__qualname__ = function.__name__, function.__qualname__
        test.__doc__, test.__module__ = function.__doc__, function.__module__
        test.__signature__ = inspect.Signature(  # type: ignore[attr-defined]
            [parameter for name, parameter in asked.items() if name == "self"]
        )
        return test

    return one_test
