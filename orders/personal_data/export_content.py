"""What an export of a person says: every row about them, column by column, for a reader and for a program."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from django.core.serializers.json import DjangoJSONEncoder
from django.db.models import Model

from orders.personal_data.selectors import DataSubject

#: Columns that say nothing about the person: the kitchen's own computation, keys of forms, hashes of links.
LEFT_OUT: Final = frozenset(
    {
        *("brief", "estimate", "book", "goods_margin", "override_reason", "override_by", "override_at"),
        *(
            "idempotency_key",
            "token_sha256",
            "request_id",
            "message_key",
            "claimed_at",
            "attempts",
            "run_after",
            "wake_after",
        ),
        *("seller", "recorded_by", "issued_by", "sent_by"),
    }
)


@dataclass(frozen=True, slots=True)
class Section:
    """One kind of row: its heading and its rows, each a mapping of label to value."""

    heading: str
    rows: list[dict[str, Any]]


def export_title(subject: DataSubject) -> str:
    """Return what the owner's list of mails and files calls the export; the name is not stored there either."""
    return f"Personal data of customer {subject.customer.pk}"


def subject_sections(subject: DataSubject) -> list[Section]:
    """Return everything stored about a person."""
    kinds: list[tuple[str, Iterable[Model]]] = [
        ("Customer", [subject.customer]),
        ("Inquiries", subject.inquiries),
        ("Quotes", subject.quotes),
        ("Messages", subject.messages),
        ("Private links", subject.links),
        ("Approvals", subject.approvals),
        ("Orders", subject.orders),
        ("Order lines", subject.order_lines),
        ("Invoices and credit notes", subject.invoices),
        ("Payment schedule", subject.scheduled),
        ("Payments", subject.payments),
        ("Payment requests and receipts", subject.papers),
        ("Things to return", subject.things_out),
        ("Reminders", subject.reminders),
        ("E-mails and files asked for", subject.mails),
        ("History", subject.history),
    ]
    return [Section(heading, [_row(row) for row in rows]) for heading, rows in kinds]


def subject_json(sections: list[Section]) -> str:
    """Return the sections as JSON, for another program to read."""
    named = {section.heading: section.rows for section in sections}
    return json.dumps(named, cls=DjangoJSONEncoder, ensure_ascii=False, indent=2)


def flat(value: Any) -> str:
    """Write a value for a reader: lists and mappings on lines of their own."""
    if isinstance(value, Mapping):
        return "; ".join(f"{_label(name)}: {flat(one)}" for name, one in value.items() if one not in ("", None, [], {}))
    if isinstance(value, list):
        return "\n".join(flat(one) for one in value)
    return str(value)


def _row(row: Model) -> dict[str, Any]:
    values = {}
    for field in row._meta.concrete_fields:
        value = field.value_from_object(row)
        if field.name in LEFT_OUT or value in ("", None, [], {}):
            continue
        if field.name == "content":
            value = json.loads(value)
        shown = getattr(row, f"get_{field.name}_display", None)
        values[_label(field.name)] = shown() if shown else value
    return values


def _label(name: str) -> str:
    return "E-mail" if name == "email" else name.replace("_", " ").capitalize()
