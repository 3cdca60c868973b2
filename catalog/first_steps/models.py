"""Which first steps the owner skipped."""

from django.db import models


class SkippedStep(models.Model):
    """A step that was skipped; without its row it is asked for again."""

    code = models.CharField(max_length=20, primary_key=True)

    def __str__(self) -> str:
        return f"{self.code}, skipped"
