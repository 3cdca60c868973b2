"""The content of a sent quote: the only source of the quote page, the PDF, the order and the invoice.

It is stored as canonical JSON (sorted keys, no spaces, UTF-8, no floats) and identified by the SHA-256 of those bytes.
"""

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Final, Literal

from catalog.kitchen.cancellation import RetainedRow, rows_read
from catalog.kitchen.payment_schedule import AfterInvoice, PaymentRow, after_invoice, after_read
from catalog.pictures.refs import PictureRef, ref_read
from catalog.records.moments import moment_stored
from costing.money.allocation import sum_by_code
from orders.documents.amends import Amends, amends_read
from orders.documents.canonical_text import canonical_json, plain
from orders.documents.dated_payments import DatedPayment, payments_of
from orders.documents.offered import LATER_OF_OFFERED, Offered, offered_read
from orders.records.row_rules import ERASED

Prices = Literal["net", "gross"]


@dataclass(frozen=True, slots=True)
class Party:
    """The kitchen or the customer, as they were when the quote was sent."""

    name: str
    legal_name: str
    address: str
    country: str
    email: str
    phone: str
    tax_number: str


@dataclass(frozen=True, slots=True)
class Event:
    """What the desserts are for: when, where, for how many."""

    title: str
    window_start: datetime
    window_end: datetime
    hand_over: str
    place: str
    guests: int | None
    allergies: tuple[str, ...]
    allergy_note: str


@dataclass(frozen=True, slots=True)
class Line:
    """A product with its units and amount. ``servings`` is the total of all units.

    ``allergens`` are those it contains, ``may_contain`` those a supplier's label warns of, ``unchecked`` those nobody
    checked; ``allergen_names`` gives species or kinds. ``diets`` are those it serves, and
    ``made_with`` what else is in it that some guests do not eat. ``picture`` is its photograph as it was then, and
    ``drawing`` the kind of dessert that is drawn where there was none.

    ``out_minutes`` is the longest total time out of the cold; None where there is no limit. After it the food is
    discarded, as the rule says, unless ``until_warm``: then no rule states a time, and it is how long the inside stays
    cold. With ``out_under`` the rule asks for less than that time, where others allow just as much. ``serve_by`` is
    when the kitchen's own limit ends, counted from the planned leaving or unloading; None where nothing is planned.
    ``out_rule`` is the rule's own longest time [min] where the owner's record of a longer one took its place.
    """

    product: str
    name: str
    description: str
    units: int
    servings: int
    unit_price_minor: int
    amount_minor: int
    allergens: tuple[str, ...]
    holding: str
    tax: str
    out_minutes: int | None = None
    until_warm: bool = False
    out_under: bool = False
    serve_by: datetime | None = None
    out_rule: int | None = None
    may_contain: tuple[str, ...] = ()
    unchecked: tuple[str, ...] = ()
    allergen_names: Mapping[str, list[str]] = field(default_factory=dict)
    diets: tuple[str, ...] = ()
    made_with: tuple[str, ...] = ()
    picture: PictureRef | None = None
    drawing: str = ""


#: Keys added later. They are left out where they are empty, so that contents sent before keep their text and hash.
_LATER_OF_LINES: Final[Mapping[str, Any]] = {
    "out_minutes": None,
    "until_warm": False,
    "out_under": False,
    "serve_by": None,
    "out_rule": None,
    "may_contain": (),
    "unchecked": (),
    "allergen_names": {},
    "diets": (),
    "made_with": (),
    "picture": None,
    "drawing": "",
}


@dataclass(frozen=True, slots=True)
class DishAnswer:
    """Whether a dessert serves a guest's need, a value of ``catalog.pantry.declarations.Serves``, and why not."""

    name: str
    serves: str
    codes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class NeedServed:
    """A need among the guests, of how many if that was said, and which desserts of the table serve it.

    ``instead`` names other desserts of the kitchen that would.
    """

    need: str
    guests: int | None
    dishes: tuple[DishAnswer, ...]
    instead: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Charge:
    """A charge in addition to the products: ``extra``, ``discount``, ``surcharge``, ``top_up`` or ``delivery``.

    ``food`` is said of extras: "none" is no food and touches none, "checked" was asked for its allergens, and for what
    else some guests do not eat: ``made_with`` is in it, ``made_without`` is not.
    """

    kind: str
    name: str
    amount_minor: int
    tax: str
    food: str = ""
    allergens: tuple[str, ...] = ()
    may_contain: tuple[str, ...] = ()
    unchecked: tuple[str, ...] = ()
    made_with: tuple[str, ...] = ()
    made_without: tuple[str, ...] = ()


_LATER_OF_CHARGES: Final[Mapping[str, Any]] = {
    "food": "",
    **dict.fromkeys(("allergens", "may_contain", "unchecked", "made_with", "made_without"), ()),
}


@dataclass(frozen=True, slots=True)
class Tax:
    """The tax of one category: rounded once, on the sum."""

    code: str
    name: str
    untdid: str
    exempt_reason: str
    rate: Decimal
    taxable_minor: int
    tax_minor: int

    @property
    def percent(self) -> Decimal:
        """The rate in percent, exactly."""
        return self.rate * 100


#: Keys of the whole content added later.
_LATER: Final[Mapping[str, Any]] = {
    "allergen_list": "",
    "needs": None,
    "cross_contact": "",
    "allergen_notice": "",
    "named_none": False,
    "logo": None,
    "logo_has_name": False,
    "deposit_latest_on": None,
    "offered": (),
    "amends": None,
    "cancellation_table": (),
    "payments_before": (),
    "to_return": (),
    "payments_after": (),
    "final_count_fall": None,
}


@dataclass(frozen=True, slots=True)
class QuoteContent:
    """Everything the customer is shown and agrees to; ``deposit_latest_on`` ends the days of a deposit, if needed.

    ``offered`` are other windows to choose from instead of the event's; :func:`at_window` is the content with one.
    """

    number: str
    revision: int
    sent_at: datetime
    valid_until: datetime
    currency: str
    prices: Prices
    tax_name: str
    kitchen: Party
    customer: Party
    event: Event
    lines: tuple[Line, ...]
    extras: tuple[Charge, ...]
    charges: tuple[Charge, ...]
    taxes: tuple[Tax, ...]
    net_minor: int
    tax_minor: int
    total_minor: int
    deposit_minor: int
    deposit_days: int
    balance_days: int
    final_count_on: date | None
    cancellation_terms: str
    note: str
    button: str
    statement: str
    # The list of allergens that was asked: empty in contents sent before they said what was not checked, as are needs.
    allergen_list: str = ""
    needs: tuple[NeedServed, ...] | None = None
    cross_contact: str = ""
    allergen_notice: str = ""
    named_none: bool = False  # asked what guests do not eat, the customer named nothing
    logo: PictureRef | None = None
    logo_has_name: bool = False
    deposit_latest_on: date | None = None
    offered: tuple[Offered, ...] = ()
    amends: Amends | None = None
    cancellation_table: tuple[RetainedRow, ...] = ()
    payments_before: tuple[DatedPayment, ...] = ()
    to_return: tuple[str, ...] = ()  # molds that go along, such as glasses
    payments_after: tuple[PaymentRow, ...] = ()
    final_count_fall: Decimal | None = None

    @property
    def head_picture(self) -> Line | None:
        """The first dessert with a photograph, for the head of the page; None where there is no photograph."""
        return next((line for line in self.lines if line.picture is not None), None)

    @property
    def pictures(self) -> tuple[PictureRef, ...]:
        """Every picture in it."""
        return tuple(ref for ref in (self.logo, *(line.picture for line in self.lines)) if ref is not None)

    @property
    def shown_charges(self) -> tuple[Charge, ...]:
        """The charges for display: one row per kind, although they are split by tax code."""
        rows: dict[str, Charge] = {}
        for charge in self.charges:
            sum_minor = charge.amount_minor + (rows[charge.kind].amount_minor if charge.kind in rows else 0)
            rows[charge.kind] = Charge(charge.kind, charge.name, sum_minor, "")
        return tuple(rows.values())

    @property
    def erased(self) -> bool:
        """Whether the customer's personal data was erased from it."""
        return self.customer.name == ERASED

    @property
    def not_asked(self) -> bool:
        """Whether nothing was known of what guests do not eat when it was sent, not even that there is nothing."""
        known = self.event.allergies or self.event.allergy_note.strip() or self.named_none
        return self.needs is not None and not known and not self.erased

    @property
    def servings(self) -> int:
        """Total servings of the table."""
        return sum(line.servings for line in self.lines)

    @property
    def lines_minor(self) -> int:
        """The amount of the desserts, before extras, charges and, with net prices, tax."""
        return sum(line.amount_minor for line in self.lines)

    @property
    def allergens(self) -> tuple[str, ...]:
        """Every allergen on the table."""
        return tuple(sorted({code for line in self.lines for code in line.allergens}))

    @property
    def cooled(self) -> bool:
        """Whether any line has a time limit out of the cold."""
        return any(line.out_minutes is not None for line in self.lines)

    @property
    def taxed(self) -> tuple[Tax, ...]:
        """The taxes at a rate above zero."""
        return tuple(tax for tax in self.taxes if tax.rate)

    @property
    def balance_minor(self) -> int:
        """The amount to pay after the deposit and the payments before the event."""
        return self.total_minor - self.deposit_minor - sum(one.amount_minor for one in self.payments_before)

    @property
    def balance_parts(self) -> tuple[AfterInvoice, ...]:
        """The balance as it is due after the invoice, what is due first first; one where nothing divides it."""
        return after_invoice(self.balance_minor, self.payments_after, last_days=self.balance_days)

    def sums(self) -> dict[str, int]:
        """Sum the charges by tax code: S(code)."""
        rows: list[Line | Charge] = [*self.lines, *self.extras, *self.charges]
        return sum_by_code((row.tax, row.amount_minor) for row in rows)

    def adds_up(self) -> bool:
        """Return whether rows, taxes and totals agree (EN 16931 BR-CO-10, -13, -14, -15)."""
        gross = self.prices == "gross"
        sums = {code: amount for code, amount in self.sums().items() if amount}
        taxed = {tax.code: tax.taxable_minor + (tax.tax_minor if gross else 0) for tax in self.taxes}
        return (
            sums == {code: amount for code, amount in taxed.items() if amount}
            and self.net_minor == sum(tax.taxable_minor for tax in self.taxes)
            and self.tax_minor == sum(tax.tax_minor for tax in self.taxes)
            and self.total_minor == self.net_minor + self.tax_minor
        )


def canonical(content: QuoteContent) -> str:
    """Return the canonical text of a content."""
    data = _without(_LATER, asdict(content))
    data["lines"] = [_without(_LATER_OF_LINES, line) for line in data["lines"]]
    data |= {kind: [_without(_LATER_OF_CHARGES, row) for row in data[kind]] for kind in ("extras", "charges")}
    if "offered" in data:
        data["offered"] = [_without(LATER_OF_OFFERED, one) for one in data["offered"]]
    return canonical_json(data, default=plain)


def _without(later: Mapping[str, Any], record: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in record.items() if key not in later or value != later[key]}


def sha256_of(text: str) -> str:
    """Return the SHA-256 of a text's UTF-8 bytes, in hexadecimal."""
    return hashlib.sha256(text.encode()).hexdigest()


def content_read(text: str) -> QuoteContent:
    """Read a content back from its canonical text."""
    data: dict[str, Any] = json.loads(text)
    return QuoteContent(
        **{
            **data,
            "sent_at": moment_stored(data["sent_at"]),
            "valid_until": moment_stored(data["valid_until"]),
            "final_count_on": date.fromisoformat(data["final_count_on"]) if data["final_count_on"] else None,
            **{whose: Party(**data[whose]) for whose in ("kitchen", "customer")},
            "event": _event(data["event"]),
            "lines": tuple(_line(line) for line in data["lines"]),
            **{kind: tuple(_charges(data[kind])) for kind in ("extras", "charges")},
            "taxes": tuple(Tax(**{**tax, "rate": Decimal(tax["rate"])}) for tax in data["taxes"]),
            "needs": tuple(map(_need, data["needs"])) if "needs" in data else None,
            "logo": ref_read(data.get("logo")),
            "amends": amends_read(data.get("amends")),
            "deposit_latest_on": date.fromisoformat(data["deposit_latest_on"]) if "deposit_latest_on" in data else None,
            "cancellation_table": rows_read(data.get("cancellation_table")),
            "payments_before": payments_of(data.get("payments_before", ())),
            "payments_after": after_read(data.get("payments_after")),
            "final_count_fall": Decimal(data["final_count_fall"]) if "final_count_fall" in data else None,
            "offered": tuple(map(offered_read, data.get("offered", ()))),
            "to_return": tuple(data.get("to_return", ())),
        }
    )


def _event(data: dict[str, Any]) -> Event:
    window = {name: moment_stored(data[name]) for name in ("window_start", "window_end")}
    return Event(**{**data, **window, "allergies": tuple(data["allergies"])})


def _line(data: dict[str, Any]) -> Line:
    lists = _lists(data, "allergens", "may_contain", "unchecked", "diets", "made_with")
    serve_by = {"serve_by": moment_stored(data["serve_by"])} if "serve_by" in data else {}
    return Line(**{**data, **lists, **serve_by, "picture": ref_read(data.get("picture"))})


def _need(data: dict[str, Any]) -> NeedServed:
    dishes = tuple(DishAnswer(dish["name"], dish["serves"], tuple(dish["codes"])) for dish in data["dishes"])
    return NeedServed(data["need"], data["guests"], dishes, tuple(data["instead"]))


def _charges(rows: list[dict[str, Any]]) -> Iterator[Charge]:
    for row in rows:
        yield Charge(**{**row, **_lists(row, "allergens", "may_contain", "unchecked", "made_with", "made_without")})


def _lists(record: dict[str, Any], *keys: str) -> dict[str, Any]:
    """Return those of a record's keys that hold lists, as tuples."""
    return {key: tuple(record[key]) for key in keys if key in record}
