"""One export of every document: the request's part, and the files that the outbox writes afterwards."""

from __future__ import annotations

from tests.bench.services.clocks import cpu


def export_taken() -> list[str]:
    """Measure both parts."""
    from django.utils import timezone

    from catalog.outbox.models import Outbox
    from orders.invoices.models import Invoice
    from orders.register.filters import not_exported
    from orders.register.services import export_files_write, export_make

    now = timezone.now()
    waiting = not_exported()[0]
    begun = cpu()
    batch = export_make(first_day=waiting.first, last_day=waiting.last, currency=waiting.currency, by="bench", at=now)
    made, begun = cpu() - begun, cpu()
    export_files_write(row=Outbox.objects.get(kind="export_files"), at=now)
    written = cpu() - begun
    assert Invoice.objects.filter(exports__batch=batch).count() == batch.documents
    return [
        f"one export of {batch.documents:,} documents: {made:.1f} s of CPU in the request, {written:.1f} s for its file"
    ]
