"""The PDF: tagged, with all glyphs, on the kitchen's paper size, rendered once, and loading nothing from outside.

PDF/UA-1 is ISO 14289-1; checked here are the requirements a program can read from the file itself.
"""

import hashlib
import io
import logging
import re
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
from django.template import engines
from pypdf import PdfReader

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from catalog.products.models import Product
from catalog.web import display
from orders.approvals.files import approval_document, approval_pdf_make
from orders.approvals.models import Approval
from orders.documents import pdf
from orders.documents.checks import pango_is_there
from orders.documents.content import content_read
from orders.documents.models import Document
from orders.quotes.files import quote_document, quote_pdf_make
from orders.quotes.models import Quote
from orders.records.errors import CannotRender
from tests.factories import BY, NOW, approved_make, draft_make, extra_make, kitchen_make, sent_make, table_make
from tests.refusals import refused
from tests.sending import quote_send_seen

A4, LETTER = (595, 842), (612, 792)


@pytest.fixture
def kitchen(db: None) -> Kitchen:
    return kitchen_make(cancellation_terms="No refunds after 30 days.")


@pytest.fixture(autouse=True)
def no_missing_glyphs(pdfs_rendered_anew: None) -> Iterator[None]:
    """Fail when the renderer says that it printed an empty box, or left something out."""
    wording: list[str] = []

    class Listener(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            wording.append(record.getMessage())

    listener = Listener(level=logging.WARNING)
    log = logging.getLogger("weasyprint")
    log.addHandler(listener)
    yield
    log.removeHandler(listener)
    assert wording == []


def reader(document: Document) -> PdfReader:
    return PdfReader(io.BytesIO(bytes(document.body)))


def words(document: Document) -> str:
    return " ".join(" ".join(page.extract_text() for page in reader(document).pages).split())


def test_what_of_the_terms_still_applies_stands_before_all_of_them(db: None) -> None:
    """Seen: a deposit that would be returned up to 300 days before, on the PDF of an event that is nearer."""
    kitchen_make(cancellation_terms="Up to 300 days before the event we return the deposit. Within 299 days we do not.")
    text = words(quote_document(quote_id=sent_make(pdf=False).pk, at=NOW))
    assert "If plans change, for this event: Within 299 days we do not. If plans change: Up to 300 days" in text


def test_the_cancellation_table_stands_there_in_words(db: None) -> None:
    kitchen_make(cancellation_table=[{"days": 21, "share": "0.3"}])
    text = words(quote_document(quote_id=sent_make(pdf=False).pk, at=NOW))
    assert "If you cancel: Canceled on or before Friday, January 15, 2027: no charge. Canceled on or after" in text


def test_the_pdf_says_what_the_content_says(kitchen: Kitchen) -> None:
    quote = sent_make(pdf=False)
    content = content_read(quote.content)
    wording = words(quote_document(quote_id=quote.pk, at=NOW))
    parts = [line.name for line in content.lines]
    parts += [display.minor(line.amount_minor, content.currency) for line in content.lines]
    parts += [quote.number, "Wedding of Ida and Jonas", "The Old Ropewalk", "3:30 PM to 4:00 PM"]
    parts += ["$1,958.76", "$587.63"]
    parts += ["Contains eggs, milk and walnuts", "No refunds after 30 days.", "Nothing is ordered until you do"]
    parts += [quote.content_sha256, "Page 1 of 2"]
    for part in parts:
        assert part in wording, part


def test_the_pdf_is_tagged_named_and_in_a_language(kitchen: Kitchen) -> None:
    file = reader(quote_document(quote_id=sent_make(pdf=False).pk, at=NOW))
    root: Any = file.trailer["/Root"]
    assert root["/Lang"] == "en-US"
    assert root["/MarkInfo"]["/Marked"] is not None
    assert bool(root["/MarkInfo"]["/Marked"])
    assert bool(root["/ViewerPreferences"]["/DisplayDocTitle"])
    assert file.metadata is not None
    assert file.metadata.title == "Quote Q-00001, revision 1"
    assert b"pdfuaid" in root["/Metadata"].get_object().get_data()
    kinds = _kinds(root["/StructTreeRoot"])
    assert {"/H1", "/H2", "/Table", "/TH", "/TD", "/TR", "/P"} <= kinds
    assert all("/FontFile2" in font or "/FontFile3" in font for font in _fonts(file)), "every font is in the file"


def _kinds(node: Any) -> set[str]:
    node = node.get_object()
    if isinstance(node, list):
        return set().union(*(_kinds(one) for one in node)) if node else set()
    if not hasattr(node, "get"):
        return set()
    found = {str(node["/S"])} if "/S" in node else set()
    return found | (_kinds(node["/K"]) if "/K" in node else set())


def _fonts(file: PdfReader) -> Iterator[Any]:
    for page in file.pages:
        fonts: Any = page["/Resources"]["/Font"]  # type: ignore[index]
        for font in fonts.values():
            (below,) = font.get_object()["/DescendantFonts"]
            yield below.get_object()["/FontDescriptor"].get_object()


def test_prices_with_tax_in_them_say_how_much(kitchen: Kitchen) -> None:
    Kitchen.objects.filter(pk=1).update(prices="gross", tax_name="VAT")
    catalog_changed()
    wording = words(quote_document(quote_id=sent_make(pdf=False).pk, at=NOW))
    assert "Total, tax included" in wording
    assert re.search(r"Tax included in the total: \$[\d.]+ VAT at 8% \(Food, \$[\d.,]+ without it\)\.", wording)


@pytest.mark.parametrize(("paper", "size"), [("A4", A4), ("Letter", LETTER)])
def test_the_paper_is_the_kitchens(kitchen: Kitchen, paper: str, size: tuple[int, int]) -> None:
    Kitchen.objects.filter(pk=1).update(paper=paper)
    box = reader(quote_document(quote_id=sent_make(pdf=False).pk, at=NOW)).pages[0].mediabox
    assert (round(float(box.width)), round(float(box.height))) == size


def test_it_is_rendered_once_and_stored_with_its_hash(kitchen: Kitchen) -> None:
    quote = sent_make(pdf=False)
    first = quote_document(quote_id=quote.pk, at=NOW)
    assert first.sha256 == hashlib.sha256(bytes(first.body)).hexdigest()
    assert first.file_name == "quote-Q-00001-revision-1.pdf"
    Kitchen.objects.filter(pk=1).update(name="Another name")
    for row in (Outbox(payload={"quote": quote.pk}), Outbox(payload={"quote": quote.pk})):
        quote_pdf_make(row=row, at=NOW + timedelta(days=1))
    assert Document.objects.count() == 1
    assert "Larkspur Lane Desserts" in words(Document.objects.get())


def test_of_two_makers_one_document_stays(kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch) -> None:
    quote = sent_make(pdf=False)
    render = pdf.pdf_of
    others: list[Document] = []

    def slow(*args: Any, **kwargs: Any) -> bytes:
        body = render(*args, **kwargs)
        monkeypatch.setattr("orders.documents.store.pdf_of", render)
        others.append(quote_document(quote_id=quote.pk, at=NOW))
        return body

    monkeypatch.setattr("orders.documents.store.pdf_of", slow)
    assert quote_document(quote_id=quote.pk, at=NOW).pk == others[0].pk
    assert Document.objects.count() == 1


def test_the_accepted_pdf_carries_the_approval(kitchen: Kitchen) -> None:
    quote = approved_make()
    row = Outbox(payload={"approval": Approval.objects.get().pk})
    approval_pdf_make(row=row, at=NOW)
    document = approval_document(approval_id=Approval.objects.get().pk, at=NOW)
    wording = words(document)
    assert document.file_name == "quote-Q-00001-revision-1-approved.pdf"
    for part in ("Approved by Ida Fenwick", "Order O-00001", "15:00:00 UTC", "Approve and commit to pay"):
        assert part in wording, part
    assert content_read(quote.content).statement in wording


UNUSUAL = [
    ("Łucja Żółć-Ångström", "Łucja Żółć-Ångström", False),
    ("Ελένη Παπαδοπούλου", "Ελένη Παπαδοπούλου", False),
    ("Олена Шевченко", "Олена Шевченко", False),
    ("Nguyễn Thị Ánh", "Nguyễn Thị Ánh", False),
    ("Ａｎｎａ", "Anna", False),
    ("Ana\x07 María\x1b", "Ana María", False),
    ("田中 花子", "▯▯ ▯▯", True),
    ("Ida 🎂 Jonas", "Ida ▯ Jonas", True),
]


@pytest.mark.parametrize(("name", "printed", "marked"), UNUSUAL)
def test_characters_are_printed_or_marked_and_never_left_as_empty_boxes(name: str, printed: str, marked: bool) -> None:
    assert pdf.fit_to_print(name) == (printed, marked)


def test_unusual_names_come_out_of_the_printed_page(kitchen: Kitchen) -> None:
    title = " ".join(name for name, _, _ in UNUSUAL[:5]) + " 花嫁 🎂 ابن سينا שרה"
    document = quote_document(quote_id=sent_make(title=title, pdf=False).pk, at=NOW)
    wording = words(document)
    for part in ("Łucja Żółć-Ångström", "Ελένη Παπαδοπούλου", "Олена Шевченко", "Nguyễn Thị Ánh", "▯▯ ▯"):
        assert part in wording, part
    assert "A few characters could not be printed" in wording


def test_a_long_word_breaks_instead_of_leaving_the_page(kitchen: Kitchen) -> None:
    Product.objects.filter(code="custard-tart").update(name="Blätterteigvanilletörtchen" * 4)
    catalog_changed()
    quote = sent_make(title="Donaudampfschifffahrtsgesellschaft" * 3, pdf=False)
    assert len(reader(quote_document(quote_id=quote.pk, at=NOW)).pages) <= 3


@pytest.mark.parametrize(("count", "least", "most"), [(0, 1, 2), (196, 8, 20)])
def test_few_lines_and_two_hundred_fit_with_their_heads_on_each_page(
    kitchen: Kitchen, count: int, least: int, most: int
) -> None:
    extras = tuple(extra_make(f"Stand number {number}", amount_minor=100 + number) for number in range(count))
    lines = table_make().lines if count else table_make().lines[:1]
    quote = sent_make(table=table_make(lines=lines, extras=extras), pdf=False)
    document = quote_document(quote_id=quote.pk, at=NOW)
    pages = [page.extract_text() for page in reader(document).pages]
    assert least <= len(pages) <= most
    if count:
        assert sum("Quantity" in page for page in pages) >= len(pages) - 2
        assert f"Stand number {count - 1}" in words(document)


def _render(source: str, **context: Any) -> bytes:
    template = engines["django"].from_string(source)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pdf, "render_to_string", lambda name, given: template.render(given))
        return pdf.pdf_of("x", context, what="the test's page")


@pytest.mark.parametrize(
    "hostile",
    [
        '<img src="file:///etc/hostname" alt="">',
        '<img src="http://127.0.0.1:9/x" alt="">',
        '<img src="data:image/png;base64,AAAA" alt="">',
        '<link rel="attachment" href="file:///etc/hostname">',
        '<link rel="stylesheet" href="file:///static/css/document.css">',
        '<p style="background: url(file:///etc/hostname)">x</p>',
        '<img src="file:///static/fonts/../../etc/hostname" alt="">',
    ],
)
def test_nothing_but_the_shipped_fonts_is_ever_loaded(hostile: str) -> None:
    with refused(CannotRender, match="may not load"):
        _render(f'<html lang="en-US"><title>t</title>{hostile}')


def test_markup_in_what_people_type_is_text(kitchen: Kitchen) -> None:
    hostile = '<img src="file:///etc/hostname"><style>*{display:none}</style>'
    draft = draft_make(title="A & B <b>bold</b>")
    Quote.objects.filter(pk=draft.pk).update(note=hostile)
    quote_send_seen(quote_id=draft.pk, by=BY, at=NOW)
    wording = words(quote_document(quote_id=draft.pk, at=NOW))
    assert "A & B <b>bold</b>" in wording
    assert "<img src=" in wording


def test_start_up_says_when_pango_is_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    assert pango_is_there() == []
    real = __import__

    def without(name: str, *args: Any, **kwargs: Any) -> Any:
        if name.startswith("weasyprint"):
            raise OSError("cannot load library 'libgobject-2.0-0'")
        return real(name, *args, **kwargs)

    monkeypatch.setattr("builtins.__import__", without)
    (warning,) = pango_is_there()
    assert warning.id == "orders.W001"
    assert warning.hint is not None
    assert "libpango" in warning.hint
    with refused(CannotRender, match="Pango"):
        pdf.pdf_of("orders/documents/base.html", {}, what="a page")
