"""Uploaded files are kept in memory up to a limit. What is beyond it is read from the connection and forgotten."""

from io import BytesIO

from django.conf import settings
from django.core.files.uploadedfile import InMemoryUploadedFile
from django.core.files.uploadhandler import FileUploadHandler


class BoundedUpload(FileUploadHandler):
    """Keeps a request's files up to ``FILE_UPLOAD_MAX_MEMORY_SIZE`` bytes together, none of them on disk.

    A file beyond it has its true size and no use: the form sees that it is too large and says so. (To stop reading
    instead would break the connection, and the person would see the browser's error page.)
    """

    def new_file(self, *args: object, **kwargs: object) -> None:
        """Begin a file."""
        super().new_file(*args, **kwargs)  # type: ignore[arg-type]  # passed on as it came
        self.pieces = BytesIO()

    def receive_data_chunk(self, raw_data: bytes, start: int) -> None:
        """Keep a piece if there is room for it."""
        self.arrived = getattr(self, "arrived", 0) + len(raw_data)
        if self.arrived <= settings.FILE_UPLOAD_MAX_MEMORY_SIZE:
            self.pieces.write(raw_data)

    def file_complete(self, file_size: int) -> InMemoryUploadedFile:
        """Return the file; one with a missing piece is as large as everything that arrived."""
        self.pieces.seek(0)
        size = file_size if self.pieces.getbuffer().nbytes == file_size else self.arrived
        return InMemoryUploadedFile(
            self.pieces, self.field_name, self.file_name or "", self.content_type, size, self.charset
        )
