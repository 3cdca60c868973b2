"""The bytes of issued files."""

from django.db import models


class Document(models.Model):
    """The bytes of an issued file. Never changed and never rendered again."""

    sha256 = models.CharField(max_length=64, db_index=True)
    file_name = models.CharField(max_length=120)
    media_type = models.CharField(max_length=80)
    body = models.BinaryField()
    created_at = models.DateTimeField()

    def __str__(self) -> str:
        return self.file_name
