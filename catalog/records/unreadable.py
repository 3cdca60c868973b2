"""Why an uploaded table cannot be read. It needs no Django: the process that reads a file has it too."""

from typing import Any


class Unreadable(Exception):
    """The file is no table that can be read, or larger than such a table is.

    ``sample`` has its first rows, where it could be read that far.
    """

    def __init__(self, code: str, **params: Any) -> None:
        self.code, self.params = code, params
        self.sample: list[list[str]] = []
        super().__init__(code)
