"""Whether a document's PDF is stored, and how far the work on it is."""

from dataclasses import dataclass

from catalog.outbox.models import Outbox
from orders.documents.models import Document


@dataclass(frozen=True, slots=True)
class RequestedPdf:
    """A PDF that was requested: stored, or with the outbox's work on it."""

    document: Document | None
    work: Outbox | None = None

    @property
    def ready(self) -> bool:
        """Whether it is stored."""
        return self.document is not None

    @property
    def failed(self) -> bool:
        """Whether it was given up until somebody tries again."""
        return not self.ready and self.work is not None and self.work.status == Outbox.Status.FAILED


def requested_pdf(document: Document | None, *, kind: str, about: str) -> RequestedPdf:
    """Return a stored PDF, or else the latest work of this kind about the document: one query then."""
    if document is not None:
        return RequestedPdf(document)
    return RequestedPdf(None, Outbox.objects.filter(kind=kind, about=about).order_by("-pk").first())
