"""The forms of a page as a browser reads and submits them."""

from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any

Fields = dict[str, list[str]]
#: Types of inputs that nobody can change.
_FIXED = frozenset({"hidden", "submit", "button"})


@dataclass
class PageForm:
    """A form: where and how it is sent, its fields with their values, and the names of those a person can change."""

    method: str = "get"
    action: str = ""
    fields: Fields = field(default_factory=dict)
    editable: set[str] = field(default_factory=set)

    def data(self, **changes: Any) -> dict[str, Any]:
        """Return what is sent when these fields are changed."""
        return {**self.fields, **changes}

    def add(self, name: str, text: str) -> None:
        """Add a value that is sent."""
        self.fields.setdefault(name, []).append(text)


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.forms: list[PageForm] = []
        self.form: PageForm | None = None
        self.templates = 0
        self.select, self.first, self.chosen = "", "", False
        self.area: str | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        self.templates += tag == "template"
        if tag == "form":
            self.form = PageForm(found.get("method", "get").lower(), found.get("action", ""))
            self.forms.append(self.form)
        if self.form is None or self.templates:
            return
        if tag == "input":
            self._input(self.form, found)
        elif tag == "select":
            self.select, self.first, self.chosen = found.get("name", ""), "", False
            self.form.editable.add(self.select)
        elif tag == "option" and self.select:
            self._option(self.form, found)
        elif tag == "textarea":
            self.area = found.get("name", "")
            self.form.editable.add(self.area)
            self.form.add(self.area, "")

    def _input(self, form: PageForm, found: dict[str, str]) -> None:
        kind, name = found.get("type", "text"), found.get("name", "")
        if not name or kind in ("submit", "button"):
            return
        if kind not in _FIXED and "disabled" not in found:
            form.editable.add(name)
        if kind not in ("checkbox", "radio") or "checked" in found:
            form.add(name, found.get("value", "on" if kind == "checkbox" else ""))

    def _option(self, form: PageForm, found: dict[str, str]) -> None:
        if "selected" in found:
            form.fields[self.select] = [found.get("value", "")]
            self.chosen = True
        elif not self.chosen and self.select not in form.fields:
            form.fields[self.select] = [found.get("value", "")]

    def handle_endtag(self, tag: str) -> None:
        self.templates -= tag == "template"
        if tag == "form":
            self.form = None
        elif tag == "select":
            self.select = ""
        elif tag == "textarea":
            self.area = None

    def handle_data(self, data: str) -> None:
        if self.form is not None and self.area is not None and not self.templates:
            self.form.fields[self.area] = [(self.form.fields[self.area][0] + data).removeprefix("\n")]


def forms_of(page: Any) -> list[PageForm]:
    """Return the forms of a response."""
    reader = _Reader()
    reader.feed(page.content.decode())
    return reader.forms


def edit_form_of(page: Any) -> PageForm:
    """Return the form of a response that carries a record's version."""
    return next(form for form in forms_of(page) if "version" in form.fields)


def save_edit(client: Any, address: str, data: dict[str, Any], *, page: str = "", **options: Any) -> Any:
    """Send data as the edit form that is open in a browser does: with the version its page shows."""
    forms = forms_of(client.get(page or address))
    versions = [form.fields["version"][0] for form in forms if "version" in form.fields]
    return client.post(address, {"version": versions[0] if versions else "", **data}, **options)
