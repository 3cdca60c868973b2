"""The export of a person as one ZIP: a page to read, the same for a program, and the PDFs."""

import zipfile
from collections.abc import Mapping
from datetime import datetime
from typing import IO, Any, Final

from django.template.loader import render_to_string

from catalog.kitchen.selectors import kitchen
from orders.personal_data.export_content import flat, subject_json, subject_sections
from orders.personal_data.selectors import DataSubject

MEDIA_TYPE: Final = "application/zip"


def subject_zip(out: IO[bytes], subject: DataSubject, *, at: datetime) -> None:
    """Write the ZIP; the PDFs are the stored ones, byte for byte."""
    sections = subject_sections(subject)
    shown = [(one.heading, [_lines(row) for row in one.rows]) for one in sections]
    facts = {"sections": shown, "at": at, "customer": subject.customer, "kitchen_name": kitchen().name}
    page = render_to_string("orders/personal_data/export.html", facts)
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("personal-data.html", page)
        archive.writestr("personal-data.json", subject_json(sections))
        for document in subject.files:
            archive.writestr(f"files/{document.pk}-{document.file_name}", document.body)


def _lines(row: Mapping[str, Any]) -> list[tuple[str, str]]:
    return [(label, flat(value)) for label, value in row.items()]


def zip_name(subject: DataSubject) -> str:
    """Return the name of the file; it has the customer's number and no name."""
    return f"personal-data-{subject.customer.pk}.zip"
