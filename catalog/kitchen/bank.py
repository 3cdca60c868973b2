"""Where customers pay: bank details that are checked, and the address of a payment page.

IBAN: ISO 13616-1, check digits by ISO 7064 MOD 97-10, and BIC: ISO 9362 (structure of both from memory; the example of
an IBAN in the tests is the one printed in ECBS documents, from memory). Routing numbers of the United States: nine
digits whose sum weighted 3, 7, 1 is a multiple of ten, American Bankers Association (from memory).
"""

import re
from dataclasses import dataclass
from typing import Final
from urllib.parse import quote, urlsplit

from catalog.kitchen.models import Kitchen

_IBAN: Final = re.compile(r"[A-Z]{2}\d{2}[A-Z0-9]{11,30}\Z", re.ASCII)
_BIC: Final = re.compile(r"[A-Z]{4}[A-Z]{2}[A-Z0-9]{2}(?:[A-Z0-9]{3})?\Z", re.ASCII)
_WEIGHTS: Final = (3, 7, 1) * 3
#: What stands in the address of a payment page for the amount and the number to give.
AMOUNT: Final = "{amount}"
REFERENCE: Final = "{reference}"
_BRACES: Final = re.compile(r"\{[^{}]*\}|[{}]")


@dataclass(frozen=True, slots=True)
class PageProblem:
    """What is wrong with the address of a payment page: "https", "address" or "braces", and what it is about."""

    code: str
    near: str = ""


def compact(text: str) -> str:
    """Return an account number without spaces and hyphens, in capitals."""
    return re.sub(r"[\s-]", "", text).upper()


def iban_fits(text: str) -> bool:
    """Return whether a compact text is an IBAN with the right check digits."""
    if not _IBAN.match(text):
        return False
    digits = "".join(str(int(sign, 36)) for sign in text[4:] + text[:4])
    return int(digits) % 97 == 1


def iban_printed(text: str) -> str:
    """Return an IBAN in groups of four, as it is printed."""
    return " ".join(text[place : place + 4] for place in range(0, len(text), 4))


def bic_fits(text: str) -> bool:
    """Return whether a compact text has the form of a BIC."""
    return _BIC.match(text) is not None


def routing_fits(text: str) -> bool:
    """Return whether a compact text is a routing number with the right check digit."""
    if len(text) != 9 or not (text.isascii() and text.isdigit()) or text == "0" * 9:
        return False
    return sum(int(digit) * weight for digit, weight in zip(text, _WEIGHTS, strict=True)) % 10 == 0


def account_fits(text: str) -> bool:
    """Return whether a compact text has the form of an account number beside a routing number."""
    return text.isascii() and text.isdigit() and 4 <= len(text) <= 17


def page_problem(text: str) -> PageProblem | None:
    """Return what is wrong with the address of a payment page; None where it can be filled in."""
    unknown = next((one for one in _BRACES.findall(text) if one not in (AMOUNT, REFERENCE)), None)
    if unknown is not None:
        return PageProblem("braces", unknown)
    try:
        parts = urlsplit(page_filled(text, amount="1.00", reference="I-00001"))
        host = parts.hostname
    except ValueError:
        return PageProblem("address")
    if parts.scheme != "https":
        return PageProblem("https")
    same_host = urlsplit(page_filled(text, amount="2.00", reference="I-00002")).netloc == parts.netloc
    if not host or "." not in host or parts.username is not None or not same_host or re.search(r"\s", text):
        return PageProblem("address")
    return None


def page_filled(text: str, *, amount: str, reference: str) -> str:
    """Return the address of a payment page with an amount and a number to give, both quoted for an address."""
    return text.replace(AMOUNT, quote(amount, safe="")).replace(REFERENCE, quote(reference, safe=""))


def pays_by_routing(kitchen: Kitchen) -> bool:
    """Return whether the kitchen's bank is named by a routing number: in the United States; else by an IBAN."""
    return kitchen.country == "US"
