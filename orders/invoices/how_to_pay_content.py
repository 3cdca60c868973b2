"""How to pay an amount: the bank account with the number to give, the payment page, a code to scan for euros."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext
from segno.helpers import make_epc_qr

from catalog.kitchen.bank import iban_printed, page_filled
from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen
from costing.money.rounding import minor_digits

#: What of the kitchen's row says how to pay.
COLUMNS: Final = ("bank_holder", "bank_iban", "bank_bic", "bank_routing", "bank_account", "payment_page")
#: The largest amount of a code, in euro cents: EPC069-12, Quick Response Code guidelines (from memory).
_MOST: Final = 99_999_999_999
_EURO: Final = "EUR"
NO_CODE: Final = SafeString()


@dataclass(frozen=True, slots=True)
class HowToPay:
    """How to pay: rows of label and value, the address of a payment page, a picture of a code to scan.

    Empty where the kitchen has neither an account nor a page. ``words`` are the kitchen's own.
    """

    words: str
    rows: tuple[tuple[str, str], ...] = ()
    page: str = ""
    code: SafeString = NO_CODE

    @property
    def stated(self) -> bool:
        """Whether anything says how to pay."""
        return bool(self.words or self.rows or self.page)


def bank_of(kitchen: Kitchen) -> dict[str, str]:
    """Return what of a kitchen says how to pay, as it can be stored with a document."""
    return {"words": kitchen.payment_details, **{name: getattr(kitchen, name) for name in COLUMNS}}


def how_to_pay(bank: Mapping[str, Any], *, reference: str, amount_minor: int, currency: str) -> HowToPay:
    """Return how to pay an amount, with the number of what it is for."""
    amount = Decimal(max(amount_minor, 0)).scaleb(-minor_digits(currency))
    page = bank["payment_page"]
    return HowToPay(
        words=bank["words"],
        rows=tuple(_rows(bank, reference)),
        page=page_filled(page, amount=format(amount, "f"), reference=reference) if page else "",
        code=_code(bank, reference, amount_minor, amount) if currency == _EURO else NO_CODE,
    )


def how_to_pay_now(reference: str, amount_minor: int, currency: str, *, words: bool = True) -> HowToPay:
    """Return how to pay the kitchen by its profile; without its own ``words`` where they stand there already."""
    bank = bank_of(kitchen())
    shown = bank if words else {**bank, "words": ""}
    return how_to_pay(shown, reference=reference, amount_minor=amount_minor, currency=currency)


def _rows(bank: Mapping[str, Any], reference: str) -> list[tuple[str, str]]:
    rows = [
        (gettext("Account holder"), bank["bank_holder"]),
        (gettext("IBAN"), iban_printed(bank["bank_iban"])),
        (gettext("BIC"), bank["bank_bic"]),
        (gettext("Routing number"), bank["bank_routing"]),
        (gettext("Account number"), bank["bank_account"]),
    ]
    known = [(label, value) for label, value in rows if value]
    return [*known, (gettext("Reference"), reference)] if known else []


def _code(bank: Mapping[str, Any], reference: str, amount_minor: int, amount: Decimal) -> SafeString:
    """Draw the code that a banking app reads (EPC069-12), where it can hold the amount."""
    if not bank["bank_iban"] or not 0 < amount_minor <= _MOST:
        return NO_CODE
    made = make_epc_qr(
        name=bank["bank_holder"], iban=bank["bank_iban"], amount=amount, text=reference, bic=bank["bank_bic"] or None
    )
    title = gettext("Code to scan with a banking app")
    picture = made.svg_inline(
        scale=4, border=4, dark="#000000", light="#ffffff", title=title, svgclass=None, lineclass=None
    )
    return mark_safe(picture)  # noqa: S308 - shapes and numbers made by the library
