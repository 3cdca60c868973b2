"""Whether a file is there, and how far the work on it is."""

from dataclasses import dataclass

from catalog.outbox.models import Outbox
from orders.documents.models import Document, PreparedFile


@dataclass(frozen=True, slots=True)
class RequestedFile:
    """A file that was requested: the document if it is one and stored, whether it is ready, else the work on it."""

    document: Document | None
    work: Outbox | None = None
    ready: bool = False

    @property
    def failed(self) -> bool:
        """Whether it was given up until somebody tries again."""
        return not self.ready and self.work is not None and self.work.status == Outbox.Status.FAILED


def requested_pdf(document: Document | None, *, kind: str, about: str) -> RequestedFile:
    """Return a stored PDF, or else the latest work of this kind about the document: one query then."""
    if document is not None:
        return RequestedFile(document, ready=True)
    return RequestedFile(None, _work(kind, about))


def prepared_about(file: int) -> str:
    """Return what the outbox says the work on a prepared file is about."""
    return f"file:{file}"


def requested_file(file: PreparedFile) -> RequestedFile:
    """Tell whether a prepared file is written, or else how far the work on it is."""
    if file.ready_at is not None:
        return RequestedFile(None, ready=True)
    return RequestedFile(None, _work(file.kind, prepared_about(file.pk)))


def _work(kind: str, about: str) -> Outbox | None:
    return Outbox.objects.filter(kind=kind, about=about).order_by("-pk").first()
