"""Pictures: photographs of products and the kitchen's logo, as they were made from what somebody uploaded."""

from django.db import models


class Picture(models.Model):
    """A picture in a few sizes. It never changes: another picture is another row, named by its own hash.

    ``sha256`` is the hash of its largest file, which is also its address. What nothing shows is deleted after some
    days, unless a sent quote shows it.
    """

    sha256 = models.CharField(max_length=64, unique=True)
    suffix = models.CharField(max_length=4, help_text="jpg or png")
    sizes = models.JSONField(help_text="width and height of each file, the smallest first")
    uploaded_at = models.DateTimeField()
    uploaded_by = models.CharField(max_length=150)
    quoted_at = models.DateTimeField(null=True, blank=True, help_text="when a quote with it was first sent: it stays")

    def __str__(self) -> str:
        return self.sha256[:12]


class PictureFile(models.Model):
    """The bytes of a picture in one size, in a table of their own: whoever reads about it does not read them."""

    picture = models.ForeignKey(Picture, on_delete=models.CASCADE, related_name="files")
    width = models.PositiveIntegerField()
    body = models.BinaryField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["picture", "width"], name="a_picture_once_in_each_width")]

    def __str__(self) -> str:
        return f"{self.picture_id}, {self.width} px"


class PictureUse(models.Model):
    """Where a picture is shown, with the words that describe it; the one before it can be put back."""

    picture = models.ForeignKey(Picture, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    alt = models.CharField(max_length=300, blank=True, help_text="what it shows, for who cannot see it")
    former = models.ForeignKey(Picture, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    former_alt = models.CharField(max_length=300, blank=True)

    class Meta:
        abstract = True
