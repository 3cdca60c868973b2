"""Customers as rows of a spreadsheet: one a row. Who was erased is never written over."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from datetime import datetime
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.core.validators import validate_email

from catalog.kitchen.selectors import kitchen
from catalog.records.near_names import near_names
from catalog.records.numbers import number_format
from catalog.records.reasons import Reason
from catalog.records.uses import protected
from catalog.spreadsheets.cells import one_line
from catalog.spreadsheets.columns import Column, Line
from catalog.spreadsheets.known import folded
from catalog.spreadsheets.plan import Answers, Cell, Item, Kind, Made, Plan, as_they_stand
from catalog.spreadsheets.recipe_plan import one_text
from catalog.spreadsheets.values import Cells, changes
from orders.inquiries.customer_services import CustomerData, customer_version
from orders.inquiries.models import Customer
from orders.records.models import AuditEntry
from orders.records.row_rules import ERASE, ERASED
from orders.records.transitions import audit_many

COLUMNS: Final = (
    Column("name", ("name", "customer", "customer_name", "client", "full_name", "company", "contact"), needed=True),
    Column("email", ("e_mail", "email", "mail", "email_address", "e_mail_address")),
    Column("phone", ("phone", "telephone", "mobile", "cell", "tel", "phone_no")),
    Column("address", ("address", "street", "postal_address", "mailing_address")),
    Column("country", ("country",)),
    Column("kind", ("type", "kind", "category")),
    Column("tax_exempt", ("tax_exempt", "exempt")),
    Column("tax_number", ("tax_number", "tax_no", "vat_no", "tax_id", "vat_id", "vat")),
    Column("note", ("note", "notes", "comment", "comments", "remark", "notiz", "notizen", "bemerkung")),
)
_MOST: Final = {"name": 120, "phone": 40, "tax_number": 40, "email": 254}
_KEYS: Final = tuple(CustomerData.__dataclass_fields__)
_BATCH: Final = 500


@dataclass(slots=True)
class CustomerContent:
    """What is written of a customer."""

    columns: dict[str, Any]
    stored: Customer | None = None
    before: dict[str, Any] = field(default_factory=dict)


def customers_plan(lines: Sequence[Line], answers: Answers, lock: bool) -> Plan:
    """Return what importing rows of customers would do; with ``lock`` all customers are locked first."""
    if lock:
        list(Customer.objects.select_for_update(no_key=True).order_by("pk").values_list("pk"))
    return _Planner(lines, answers).plan


def _asked_key(name: str, mail: str) -> str:
    """Return the key of the question whether a row is about a customer who is there."""
    return f"customer:{folded(name)}:{mail}"


class _Planner:
    def __init__(self, lines: Sequence[Line], answers: Answers) -> None:
        self.plan, self.answers, self.written = Plan(), answers, number_format(kitchen().locale)
        erased = erased_customers()
        self.by_mail: dict[str, Customer] = {}
        self.by_name: dict[str, list[Customer]] = {}
        self.by_phone: dict[str, list[Customer]] = {}
        self.erased: set[str] = {folded(ERASED)}
        for one in Customer.objects.order_by("pk"):
            if one.pk in erased:
                self.erased.add(folded(one.name))
                continue
            self.by_name.setdefault(folded(one.name), []).append(one)
            if phone := _digits(one.phone):
                self.by_phone.setdefault(phone, []).append(one)
            if one.email:
                self.by_mail.setdefault(one.email.casefold(), one)
        self.met: dict[tuple[str, str], int] = {}
        self.mails: dict[str, int] = {}
        self.taken: dict[int, int] = {}
        for line in lines:
            if item := self._item(line):
                self.plan.items.append(item)

    def _item(self, line: Line) -> Item | None:
        row, columns = line["row"], self._read(line)
        name, mail = columns["name"] or "", (columns["email"] or "").casefold()
        found = self._found(row, name, mail, _digits(columns["phone"] or ""))
        if found == "leave":
            return None
        self._check_unique(row, folded(name), mail)
        stored = found if isinstance(found, Customer) else None
        if stored is not None and self.taken.setdefault(stored.pk, row) != row:
            self.plan.problem(row, "name", "row_twice", row=self.taken[stored.pk])
        if stored is not None and stored.email.casefold() == mail:
            # Nobody has two addresses that differ by case alone.
            columns["email"] = stored.email
        content = CustomerContent({key: value for key, value in columns.items() if value is not None}, stored)
        item = Item(name or mail or str(row), [row], content=content)
        if self.plan.open_rows_of([row]):
            item.change = "waits"
        elif stored is not None:
            content.columns = changes(columns, stored)
            item.details = [_changed(key, getattr(stored, key), value) for key, value in content.columns.items()]
            item.change = "change" if content.columns else "same"
            item.agreed = self.answers.get(_asked_key(name, mail), "") == "same"
        return item

    def _read(self, line: Line) -> dict[str, Any]:
        cells = Cells(self.plan, line, written=self.written)
        columns: dict[str, Any] = {key: cells.text(key, most=_MOST.get(key, 10_000)) for key in _KEYS}
        columns["tax_exempt"] = cells.yes("tax_exempt")
        for key in ("name", "phone", "tax_number"):
            columns[key] = one_line(columns[key]) if columns[key] else None
        if not columns["name"] and not line["cells"].get("name"):
            self.plan.problem(line["row"], "name", "no_name")
        self._check(line["row"], columns)
        return columns

    def _check(self, row: int, columns: dict[str, Any]) -> None:
        if columns["email"]:
            try:
                validate_email(columns["email"])
            except ValidationError:
                self.plan.problem(row, "email", "not_an_email", text=columns["email"][:80])
        if country := columns["country"]:
            columns["country"] = country.upper()
            if len(country) != 2 or not country.isascii() or not country.isalpha():
                self.plan.problem(row, "country", "not_a_country", text=country[:40])
        if kind := columns["kind"]:
            columns["kind"] = kinds_named().get(kind.casefold())
            if columns["kind"] is None:
                self.plan.problem(row, "kind", "not_a_type", text=kind[:40])

    def _found(self, row: int, name: str, mail: str, phone: str) -> Customer | str:
        """Return the customer a row is about; new, leave or ask where it may be another one."""
        namesakes = self.by_name.get(folded(name), []) if name else []
        by_mail = self.by_mail.get(mail) if mail else None
        exact = [one for one in namesakes if one.email.casefold() == mail]
        if len(exact) == 1:
            return exact[0]
        likely = by_mail or (namesakes[0] if namesakes else self._near(name, phone))
        key = _asked_key(name, mail)
        answer = self.answers.get(key, "")
        if likely is not None:
            if answer == "same":
                return likely
            return answer_or_ask(self.plan, answer, "same", key, row, item=name, name=_called(likely))
        if folded(name) in self.erased and name:
            return answer_or_ask(self.plan, answer, "erased", key, row, item=name)
        return "new"

    def _near(self, name: str, phone: str) -> Customer | None:
        """Return the customer of the same phone whose name is near, such as one with a slip; None for none."""
        same = self.by_phone.get(phone, ()) if phone and name else ()
        near = {pk for pk, _ in near_names(name, [(one.pk, one.name) for one in same])}
        return next((one for one in same if one.pk in near), None)

    def _check_unique(self, row: int, name: str, mail: str) -> None:
        """A person stands in one row; of one name there may be several with e-mail addresses of their own."""
        first = self.mails.setdefault(mail, row) if mail else row
        if first == row and name:
            first = self.met.setdefault((name, mail), row)
        if first != row:
            self.plan.problem(row, "email" if mail else "name", "row_twice", row=first)


def _digits(phone: str) -> str:
    return "".join(sign for sign in phone if sign.isdigit())


def _changed(key: str, before: Any, after: Any) -> Reason:
    """Return a column that changes, with what it says now and then; yes and no stand for themselves."""
    if isinstance(after, bool):
        return Reason("column", {"column": key})
    values = {"before": str(before)[:60], "after": str(after)[:60]}
    return Reason("column_changes" if before else "column_new", {"column": key, **values})


def kinds_named() -> dict[str, str]:
    """Return the kinds of customer by code, and by the name that pages have."""
    return {value: value for value in Customer.Kind.values} | {
        str(label).casefold(): value for value, label in Customer.Kind.choices
    }


def answer_or_ask(plan: Plan, answer: str, code: str, key: str, row: int, **params: str) -> str:
    """Return what the owner answered, new or leave; without an answer the row waits for one."""
    if answer in ("add", "leave"):
        return "new" if answer == "add" else "leave"
    plan.ask(code, key, row, **params)
    return "ask"


def _called(customer: Customer) -> str:
    return f"{customer.name}, {customer.email}" if customer.email else customer.name


def erased_customers() -> set[int]:
    """Return the keys of customers whose data was erased."""
    entries = AuditEntry.objects.filter(document="customer", event=ERASE).values_list("document_pk", flat=True)
    return {int(pk) for pk in entries}


def customers_write(items: Sequence[Item], by: str, at: datetime) -> Made:
    """Write customers that are new or change; return what undoing needs."""
    contents: list[CustomerContent] = [item.content for item in items]
    new = [
        Customer(created_at=at, **asdict(CustomerData(**content.columns))) for content in contents if not content.stored
    ]
    added = Customer.objects.bulk_create(new, batch_size=_BATCH)
    changed = []
    before = {}
    for content in contents:
        if content.stored is not None:
            before[content.stored.pk] = {key: getattr(content.stored, key) for key in content.columns}
            for name, value in content.columns.items():
                setattr(content.stored, name, value)
            changed.append(content.stored)
    Customer.objects.bulk_update(changed, _KEYS, batch_size=100)
    audit_many(changed, "change", by=by, at=at)
    return {
        "customers": [[one.pk, customer_version(one)] for one in added],
        "changed": [[one.pk, customer_version(one), before[one.pk]] for one in changed],
    }


def customers_undo(made: Made, by: str, at: datetime) -> tuple[int, list[Reason]]:
    """Put changed customers back, and delete those that were added, where nobody changed or used them since."""
    erased, left, gone = erased_customers(), list[Reason](), list[int]()
    versions: dict[int, str] = {pk: version for pk, version in made.get("customers", ())}  # noqa: C416 - JSON
    used = protected(Customer, versions)
    for one in _customers(versions):
        if one.pk in used:
            left.append(Reason("record_used", {"name": one.name}))
        elif one.pk in erased or customer_version(one) != versions[one.pk]:
            left.append(Reason("record_changed", {"name": one.name}))
        else:
            gone.append(one.pk)
    wanted = {pk: (version, before) for pk, version, before in made.get("changed", ())}
    back = []
    for one in _customers(wanted):
        version, before = wanted[one.pk]
        if one.pk in erased or customer_version(one) != version:
            left.append(Reason("record_changed", {"name": one.name}))
            continue
        for name, value in before.items():
            setattr(one, name, value)
        back.append(one)
    Customer.objects.bulk_update(back, _KEYS, batch_size=100)
    audit_many(back, "change", by=by, at=at)
    for start in range(0, len(gone), _BATCH):
        Customer.objects.filter(pk__in=gone[start : start + _BATCH]).delete()
    return len(back) + len(gone), left


def _customers(keys: Mapping[int, Any]) -> list[Customer]:
    """Return customers, locked until the transaction ends."""
    wanted = list(keys)
    rows = Customer.objects.select_for_update(no_key=True).order_by("pk")
    return [
        one for start in range(0, len(wanted), _BATCH) for one in rows.filter(pk__in=wanted[start : start + _BATCH])
    ]


def customers_export() -> list[dict[str, Cell]]:
    """Return all customers whose data was not erased."""
    erased = erased_customers()
    return [
        {
            **{key: one_text(getattr(one, key)) for key in ("name", "email", "phone", "address", "country", "kind")},
            "tax_exempt": "yes" if one.tax_exempt else "no",
            "tax_number": one_text(one.tax_number),
            "note": one_text(one.note),
        }
        for one in Customer.objects.order_by("name", "pk")
        if one.pk not in erased and one.name != ERASED
    ]


KIND: Final = Kind(
    columns=COLUMNS,
    lines=as_they_stand,
    plan=customers_plan,
    write=customers_write,
    undo=customers_undo,
    export=customers_export,
)
