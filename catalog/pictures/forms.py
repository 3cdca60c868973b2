"""The field that takes a picture: what it returns was made anew from the file."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext, gettext_lazy

from catalog.pictures.models import Picture, PictureUse
from catalog.pictures.presenters import unusable_sentence
from catalog.pictures.reader_process import picture_read
from catalog.pictures.services import NewPicture
from catalog.pictures.uploads import MOST_BYTES, Made, Unusable

#: A telephone that takes HEIC gives a JPEG to a field that asks for one.
_ACCEPT = "image/jpeg,image/png,image/webp"
HELP = gettext_lazy("JPEG, PNG or WebP, at most 12 MB.")


class PictureField(forms.FileField):
    """A picture for a use; its value is the picture in our sizes, or None when no file was chosen."""

    def __init__(self, *, use: str, **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.FileInput(attrs={"accept": _ACCEPT}))
        kwargs.setdefault("help_text", HELP)
        super().__init__(required=False, allow_empty_file=True, **kwargs)
        self.use = use

    def clean(self, data: Any, initial: Any = None) -> Made | None:
        """Read the file and make the picture."""
        file = super().clean(data, initial)
        if not file:
            return None
        try:
            if file.size > MOST_BYTES:
                raise Unusable("too_large")
            file.seek(0)  # a form that is shown again is read again
            return picture_read(self.use, file.read())
        except Unusable as unusable:
            raise ValidationError(unusable_sentence(unusable), code=unusable.code) from unusable


class PictureForm(forms.Form):
    """A picture and the words that describe it; ``use`` shows what is there now."""

    alt = forms.CharField(
        label=gettext_lazy("Description of the picture"),
        max_length=300,
        required=False,
        help_text=gettext_lazy("What it shows, for people who cannot see it."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, data: Any = None, files: Any = None, *, use: PictureUse, suggestion: str, **kwargs: Any) -> None:
        self.use = use
        self.held = Picture.objects.filter(sha256=data.get("held", "")).first() if data is not None else None
        initial = {"alt": use.alt or suggestion, **kwargs.pop("initial", {})}
        super().__init__(data, files, initial=initial, **kwargs)

    def clean(self) -> dict[str, Any]:
        """Ask for the words where there is a picture to describe."""
        found = super().clean() or {}
        chosen = found.get("file") or self.held or self.use.picture_id
        if chosen and not found.get("alt") and "alt" not in self.errors:
            self.add_error("alt", self.missing_alt())
        return found

    def missing_alt(self) -> str:
        """Write how the description is asked for."""
        return gettext("Write what the picture shows, such as %(example)s.") % {"example": self.example()}

    def example(self) -> str:
        """Return such a description."""
        return gettext("lemon tart with browned meringue")

    @property
    def made(self) -> Made | None:
        """The picture made from the chosen file, if that was one, whatever else is wrong."""
        return getattr(self, "cleaned_data", {}).get("file")

    def new_picture(self) -> NewPicture:
        """Return the picture as services take it; call it on a valid form."""
        return NewPicture(self.made, self.held.sha256 if self.held else "", self.cleaned_data["alt"])
