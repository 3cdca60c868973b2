"""Issued files: what each is called and its hash, and apart from that its bytes."""

from django.db import models

from orders.records.row_rules import RowRules


class Document(models.Model):
    """An issued file. Never changed and never rendered again."""

    ROWS = RowRules(name="an issued file")

    sha256 = models.CharField(max_length=64, db_index=True)
    file_name = models.CharField(max_length=120)
    media_type = models.CharField(max_length=80)
    created_at = models.DateTimeField()

    def __str__(self) -> str:
        return self.file_name

    @property
    def body(self) -> bytes:
        """The file's bytes; one query."""
        return bytes(self.stored.body)


class StoredBytes(models.Model):
    """The bytes of an issued file, in a table of their own: whoever reads about a file does not read its bytes."""

    ROWS = RowRules(name="an issued file")

    document = models.OneToOneField(Document, on_delete=models.PROTECT, primary_key=True, related_name="stored")
    body = models.BinaryField()

    def __str__(self) -> str:
        return f"the bytes of {self.document_id}"
