"""Issued files: what each is called and its hash, and apart from that its bytes. Files that are prepared on request."""

from collections.abc import Iterator

from django.db import models

from orders.records.row_rules import RowRules


class Document(models.Model):
    """An issued file. Never changed and never rendered again; erased with a quote that came to nothing."""

    ROWS = RowRules(name="an issued file", deleted_when_erased=True)

    sha256 = models.CharField(max_length=64, db_index=True)
    file_name = models.CharField(max_length=120)
    media_type = models.CharField(max_length=80)
    created_at = models.DateTimeField()

    def __str__(self) -> str:
        return self.file_name

    @property
    def body(self) -> bytes:
        """The file's bytes; one query, or two when they are stored in parts."""
        return b"".join(self.pieces())

    def pieces(self) -> Iterator[bytes]:
        """Return the file's bytes piece by piece, so that a large file is never whole in memory."""
        whole = StoredBytes.objects.filter(document=self).first()
        if whole is not None:
            yield bytes(whole.body)
            return
        keys = list(self.parts.order_by("position").values_list("pk", flat=True))
        for pk in keys:
            yield bytes(StoredPart.objects.values_list("body", flat=True).get(pk=pk))


class StoredBytes(models.Model):
    """The bytes of an issued file, in a table of their own: whoever reads about a file does not read its bytes."""

    ROWS = RowRules(name="an issued file", deleted_when_erased=True)

    document = models.OneToOneField(Document, on_delete=models.PROTECT, primary_key=True, related_name="stored")
    body = models.BinaryField()

    def __str__(self) -> str:
        return f"the bytes of {self.document_id}"


class StoredPart(models.Model):
    """A part of the bytes of a large issued file, which has these instead of `StoredBytes`."""

    ROWS = RowRules(name="an issued file")

    document = models.ForeignKey(Document, on_delete=models.PROTECT, related_name="parts")
    position = models.PositiveIntegerField()
    body = models.BinaryField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["document", "position"], name="a_part_in_its_place")]

    def __str__(self) -> str:
        return f"part {self.position} of {self.document_id}"


class PreparedFile(models.Model):
    """A file somebody asked for, such as the register as it stands: the outbox writes it, and it goes after some days.

    Nothing that was issued, so it may be deleted.
    """

    kind = models.CharField(max_length=40, help_text="the outbox's work that writes it")
    facts = models.JSONField(default=dict, help_text="what is in it, for whoever writes it")
    asked_at = models.DateTimeField()
    asked_by = models.CharField(max_length=150)
    file_name = models.CharField(max_length=120)
    media_type = models.CharField(max_length=80)
    sha256 = models.CharField(max_length=64, blank=True)
    ready_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.file_name

    def pieces(self) -> Iterator[bytes]:
        """Return the file's bytes piece by piece, so that a large file is never whole in memory."""
        for pk in list(self.parts.order_by("position").values_list("pk", flat=True)):
            yield bytes(PreparedPart.objects.values_list("body", flat=True).get(pk=pk))


class PreparedPart(models.Model):
    """A part of the bytes of a prepared file."""

    file = models.ForeignKey(PreparedFile, on_delete=models.CASCADE, related_name="parts")
    position = models.PositiveIntegerField()
    body = models.BinaryField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["file", "position"], name="a_prepared_part_in_its_place")]

    def __str__(self) -> str:
        return f"part {self.position} of {self.file_id}"
