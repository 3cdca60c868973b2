"""What there is to attack: every route of the URL conf, and every form the rendered pages show to each actor."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Final
from urllib.parse import urljoin, urlsplit

from django.test import Client
from django.urls import Resolver404, resolve, reverse

from catalog.web.access import OWNER
from orders.documents.models import PreparedFile
from orders.quotes.models import Quote
from tests.integration.config.routes import routes

#: Most pages of one view that are looked at for forms; few for those who see no more than the owner.
_PAGES_OF_A_VIEW: Final = 10
_FEW_PAGES: Final = 2
#: Most pages of the admin, which are all made by the same few views.
_ADMIN_PAGES: Final = 12
_ANY_NUMBER: Final = re.compile(r"/\d+/")
_DIGITS: Final = re.compile(r"(\d+)")


@dataclass
class Form:
    """A form as a page shows it: where it is sent, and its fields with the values they have there."""

    actor: str
    action: str
    method: str = "GET"
    multipart: bool = False
    fields: list[tuple[str, str, str]] = field(default_factory=list)

    @property
    def key(self) -> tuple[object, ...]:
        """Return what makes it another form: its view and its fields, not its row."""
        names = {re.sub(r"\d+", "0", name) for name, _, _ in self.fields}
        return (self.method, _ANY_NUMBER.sub("/0/", urlsplit(self.action).path), frozenset(names))


class _Page(HTMLParser):
    """Finds a page's links, pictures and forms."""

    def __init__(self, actor: str, path: str) -> None:
        super().__init__()
        self.actor, self.path = actor, path
        self.links: set[str] = set()
        self.forms: list[Form] = []
        self._open: Form | None = None
        self._select = self._area = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Take up a link, a form, or a field of the form that is open."""
        found = {name: value or "" for name, value in attrs}
        if "href" in found and tag == "a":
            self.links.add(self._absolute(found["href"]))
        if "src" in found and tag == "img":
            self.links.add(self._absolute(found["src"]))
        for name in ("hx-get", "hx-post"):
            if name in found:
                self._begin(found[name], name[3:].upper(), found, stays=tag == "form")
        if tag == "form":
            self._begin(found.get("action", ""), found.get("method", "get").upper(), found, stays=True)
        self._take(tag, found)

    def handle_endtag(self, tag: str) -> None:
        """Close a form or a list of choices."""
        if tag == "form":
            self._open = None
        if tag in ("select", "textarea"):
            self._select = self._area = ""

    def handle_data(self, data: str) -> None:
        """Take the text of a text area."""
        if self._area:
            self._add(self._area, data, "textarea")
            self._area = ""

    def _absolute(self, address: str) -> str:
        return urljoin(self.path, address).partition("#")[0]

    def _begin(self, action: str, method: str, found: Mapping[str, str], *, stays: bool) -> None:
        form = Form(self.actor, self._absolute(action), method, found.get("enctype") == "multipart/form-data")
        if self._open is not None:
            form.fields = self._open.fields
        self.forms.append(form)
        if stays:
            self._open = form

    def _take(self, tag: str, found: Mapping[str, str]) -> None:
        name = found.get("name", "")
        if tag == "option" and self._select:
            self._add(self._select, found.get("value", ""), "choice")
        elif name and tag == "select":
            self._select = name
        elif name and tag == "textarea":
            self._area = name
        elif name and tag in ("input", "button"):
            self._add(name, found.get("value", ""), found.get("type", "text"))

    def _add(self, name: str, text: str, kind: str) -> None:
        if self._open is not None and "__prefix__" not in name:
            self._open.fields.append((name, text, kind))


@dataclass
class Site:
    """The addresses and forms found, and the clients of the actors."""

    clients: Mapping[str, Client]
    paths: list[str]
    forms: list[Form]

    @classmethod
    def walked(cls, clients: Mapping[str, Client]) -> "Site":
        """Walk every actor through all pages that can be reached."""
        known: dict[tuple[object, ...], Form] = {}
        # Nothing links to a file that was asked for: whoever asks is sent there.
        paths = {route.path for route in routes()} | {_address(file) for file in PreparedFile.objects.all()}
        for actor, client in clients.items():
            for path, page in _pages(actor, client):
                links = page.links if actor != "superuser" else ()
                paths |= {path, *(link for link in links if view_of(link) is not None)}
                for form in page.forms:
                    known.setdefault((actor, *form.key), form)
        return cls(clients, sorted(paths), [known[key] for key in sorted(known, key=repr)])

    def views(self) -> set[str | None]:
        """Return the names of the views that a page's link or form leads to."""
        shown = [path for path in self.paths if "999999" not in path]
        return {view_of(address) for address in [*shown, *(form.action for form in self.forms)]}


def _pages(actor: str, client: Client) -> Iterator[tuple[str, _Page]]:
    most = _PAGES_OF_A_VIEW if actor == OWNER else _FEW_PAGES
    met: dict[str, int] = {}
    waiting = sorted({route.path for route in routes() if "999999" not in route.path})
    if actor == "superuser":
        # Of the kitchen's pages a superuser sees what the owner sees.
        waiting = ["/admin/"]
    if "quote_links" in client.session:
        waiting += [f"/q/{pk}/" for pk in Quote.objects.values_list("pk", flat=True)]
    if actor == OWNER:
        # What was tried on a price can be saved only from the page that shows it.
        drafts = Quote.objects.filter(status="draft").values_list("pk", flat=True)
        waiting += [f"{reverse('quote-price-check', args=[pk])}?discount=7" for pk in drafts]
    seen: set[str] = set()
    while waiting:
        path = waiting.pop(0)
        view = view_of(path)
        if path in seen or view is None or met.get(view, 0) >= most or _is_foreign(view, actor, len(met)):
            continue
        seen.add(path)
        answer = client.get(path)
        if answer.status_code != 200 or "html" not in answer.get("Content-Type", ""):
            continue
        met[view] = met.get(view, 0) + 1
        page = _Page(actor, path)
        page.feed(answer.content.decode())
        yield path, page
        waiting += sorted(page.links, key=_by_number)


def _by_number(address: str) -> list[tuple[int, str]]:
    """Return what sorts row 99 before row 100: which pages are looked at does not depend on where keys begin."""
    return [(int(part), "") if part.isdigit() else (0, part) for part in _DIGITS.split(address)]


def _address(file: PreparedFile) -> str:
    if file.kind == "subject_file":
        return reverse("customer-personal-data-file", args=[file.facts["customer"], file.pk])
    if file.kind == "procedure_file":
        return reverse("procedure-file", args=[file.pk])
    return reverse("money-papers-file" if file.kind == "papers_file" else "money-register-file", args=[file.pk])


def _is_foreign(view: str, actor: str, met: int) -> bool:
    return actor == "superuser" and (met >= _ADMIN_PAGES or not view.startswith("admin:"))


def view_of(address: str) -> str | None:
    """Return the name of the view an address leads to; None outside the service, and for the way out."""
    parts = urlsplit(address)
    if parts.scheme or parts.netloc or not parts.path.startswith("/"):
        return None
    try:
        found = resolve(parts.path, urlconf="config.urls")
    except Resolver404:
        return None
    return found.view_name
