"""Numbers as people write them in a country: what separates thousands, and what the decimals.

A point before three digits is a decimal point in the United States and separates thousands in Germany. What a country
does not use is read where it has one reading only, and is asked about otherwise.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

_SIGNS = {".", ","}
_SPACES = re.compile(r"[\s\u2009\u00a0\u202f]+")
#: Thousands separated by spaces or apostrophes, which are never the sign of decimals.
_BY_SPACES = re.compile(r"([1-9]\d{0,2})((?: \d{3})+|(?:'\d{3})+)(?:[.,](\d+))?", re.ASCII)
_BY_SIGN = re.compile(r"[1-9]\d{0,2}(?:([.,])\d{3})(?:\1\d{3})*", re.ASCII)
_ONE_SIGN = re.compile(r"(\d*)([.,])(\d+)", re.ASCII)


@dataclass(frozen=True, slots=True)
class NumberFormat:
    """How numbers are written.

    Parameters
    ----------
    decimal : str
        The sign before decimals: a point or a comma.
    group : str
        What separates thousands: a comma, a point, a space for any space, an apostrophe; empty for nothing.
    """

    decimal: str = "."
    group: str = ","

    def written(self, exact: str) -> str:
        """Write an exact decimal, or a measure of one, with this sign before its decimals.

        Parameters
        ----------
        exact : str
            For example `1.125 kg`.
        """
        return exact if self.decimal == "." else re.sub(r"(?<=\d)\.(?=\d)", self.decimal, exact)


#: As exact texts and the United States have it.
POINT = NumberFormat()


class TwoReadings(ValueError):
    """A number that can be read in two ways.

    Parameters
    ----------
    text : str
        As it was written.
    first, second : str
        Both readings, as they are written where it was read.
    """

    def __init__(self, text: str, first: str, second: str) -> None:
        self.text, self.first, self.second = text, first, second
        super().__init__(text, first, second)

    @property
    def params(self) -> dict[str, str]:
        """What a sentence about it is made of."""
        return {"text": self.text, "first": self.first, "second": self.second}


def figure_read(text: str, written: NumberFormat = POINT) -> str | None:
    """Read a number without sign and unit.

    Parameters
    ----------
    text : str
        For example `1,250.5`, `1 250,5`, `.5`.
    written : NumberFormat, optional
        How numbers are written where it was written.

    Returns
    -------
    str or None
        The exact decimal, `1250.5`; None when it is no number.

    Raises
    ------
    TwoReadings
        When it can be read in two ways.
    """
    tidy = _SPACES.sub(" ", text).strip().replace("\u2019", "'")
    if re.fullmatch(r"\d+", tidy, re.ASCII):
        return tidy
    spaced = _BY_SPACES.fullmatch(tidy)
    if spaced:
        whole = re.sub(r"\D", "", spaced[1] + spaced[2])
        return f"{whole}.{spaced[3]}" if spaced[3] else whole
    signs = [sign for sign in tidy if sign in _SIGNS]
    if len(signs) == 1:
        return _one_sign(tidy, written)
    if len(set(signs)) == 1:
        return re.sub(r"\D", "", tidy) if _BY_SIGN.fullmatch(tidy) else None
    return _both_signs(tidy) if signs else None


def _both_signs(text: str) -> str | None:
    """Read a number with points and commas: the last sign stands before the decimals, wherever that is."""
    whole, decimals = re.split(r"[.,](?=[^.,]*\Z)", text)
    if not _BY_SIGN.fullmatch(whole) or not re.fullmatch(r"\d+", decimals, re.ASCII):
        return None
    return f"{re.sub(r'[.,]', '', whole)}.{decimals}"


def _one_sign(text: str, written: NumberFormat) -> str | None:
    """Read a number with one point or one comma."""
    found = _ONE_SIGN.fullmatch(text)
    if found is None:
        return None
    whole, sign, decimals = found[1], found[2], found[3]
    exact = f"{whole or 0}.{decimals}"
    # No number of thousands begins with a zero.
    if sign == written.decimal or whole in ("", "0"):
        return exact
    if _BY_SIGN.fullmatch(text):
        if sign == written.group:
            return whole + decimals
        raise TwoReadings(text, whole + decimals, _shortest(exact, written))
    # A point that separates nothing is one before decimals; a comma in the United States is asked about.
    if sign == ".":
        return exact
    raise TwoReadings(text, _shortest(exact, written), whole + decimals)


def _shortest(exact: str, written: NumberFormat) -> str:
    return written.written(exact.rstrip("0").rstrip("."))
