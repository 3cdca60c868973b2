"""The form of an existing record, with the version it was opened with; when it was overtaken it shows both versions."""

from collections.abc import Callable, Sequence
from http import HTTPStatus
from typing import Any, Generic, TypeVar

from django.forms import BaseForm
from django.forms.formsets import BaseFormSet
from django.http import QueryDict

from catalog.records.errors import Overtaken
from catalog.records.versions import UNSEEN
from catalog.web.differences import Difference, marks_of, marks_read, merge
from catalog.web.shown_values import AnyForm

Record = TypeVar("Record")
Forms = TypeVar("Forms")
Saved = TypeVar("Saved")


class Edit(Generic[Record, Forms]):
    """A record and the forms that change it, opened or submitted.

    ``load`` reads the record, and again when it was overtaken; None is one that is new and has no version. ``forms``
    makes its forms, showing the record when the data are None; ``version_of`` gives its version, empty before there is
    anything to overwrite; ``page`` is where it is shown as it is saved.
    """

    def __init__(
        self,
        *,
        data: QueryDict | None,
        load: Callable[[], Record],
        forms: Callable[[Record, QueryDict | None], Forms],
        version_of: Callable[[Any], str],
        page: str,
    ) -> None:
        self.data, self._load, self._make, self._version_of, self.page = data, load, forms, version_of, page
        self.record = load()
        self.forms = forms(self.record, data)
        self.differences: list[Difference] = []
        self.version = self._opened() if data is None else str(data.get("version", ""))

    def _opened(self) -> str:
        version = "" if self.record is None else self._version_of(self.record)
        return version + marks_of(_parts(self.forms)) if version else ""

    @property
    def overtaken(self) -> bool:
        """Whether somebody saved the record meanwhile, and something else."""
        return bool(self.differences)

    @property
    def unseen(self) -> bool:
        """Whether the form was sent without saying which version it showed."""
        return self.data is not None and not self.data.get("version")

    @property
    def own(self) -> list[Difference]:
        """What was entered and stands in the form, against what is saved."""
        return [difference for difference in self.differences if not difference.taken]

    @property
    def taken(self) -> list[Difference]:
        """What was not touched and now shows the saved values."""
        return [difference for difference in self.differences if difference.taken]

    def status(self, otherwise: int = HTTPStatus.OK) -> int:
        """Return the status of the page that shows the forms."""
        return HTTPStatus.CONFLICT if self.overtaken else otherwise

    def saved(self, save: Callable[[str], Saved]) -> Saved | None:
        """Save by a function that takes the version; None when the record was overtaken.

        A form that is sent without a version (by a program, or from a page that showed no record yet) overwrites
        nothing. When it was overtaken, `forms` shows what was entered, with the saved values of what was not touched,
        and `version` is the saved one's, so that saving again is a decision. When nothing differs, it is saved.
        """
        version, _, marks = self.version.partition(".")
        try:
            return save(version or self.version or ("" if self.record is None else UNSEEN))
        except Overtaken:
            return self._compare(save, marks)

    def _compare(self, save: Callable[[str], Saved], marks: str) -> Saved | None:
        data = QueryDict(mutable=True) if self.data is None else self.data.copy()
        self.record = self._load()
        now, entered = self._make(self.record, None), _parts(self.forms)
        saved = _parts(now)
        self.differences = merge(data, saved=saved, entered=entered, opened=marks_read(marks, len(saved)))
        if not self.differences:
            return save(self._version_of(self.record))
        self.version = self._version_of(self.record) + marks_of(saved)
        self.forms = self._make(self.record, data)
        return None


def _parts(found: Any) -> Sequence[AnyForm]:
    """Return the single forms and sets of rows: of one, of several, or of an object that gives them in page order."""
    return [found] if isinstance(found, BaseForm | BaseFormSet) else list(found)
