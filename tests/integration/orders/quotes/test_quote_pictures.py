"""A sent quote shows the pictures it was sent with: on its page and in its PDF, whatever becomes of the products."""

import io
import json
from datetime import timedelta

import pytest
from django.test import Client
from pypdf import PdfReader

from catalog.kitchen.logo_services import logo_save
from catalog.kitchen.models import Kitchen
from catalog.pictures.models import Picture
from catalog.pictures.reader import picture_made
from catalog.pictures.selectors import printed_bodies
from catalog.pictures.services import NewPicture
from catalog.products.models import Product
from catalog.products.picture_services import product_picture_remove, product_picture_save
from orders.approvals.links import link_create
from orders.documents.content import canonical, content_read, sha256_of
from orders.documents.models import Document
from orders.documents.pdf import pdf_of
from orders.invoices.files import invoice_document
from orders.personal_data.retention import retention_apply
from orders.quotes.files import PDF_TEMPLATE, pdf_context, quote_document
from orders.quotes.models import Quote
from tests.factories import BY, NOW, kitchen_make, sent_make
from tests.integration.orders.builders import invoice_make, order_make
from tests.pictures import drawn, file_of, photograph

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def kitchen() -> Kitchen:
    return kitchen_make()


def picture_give(code: str = "walnut-cake", body: bytes = b"", alt: str = "A walnut cake") -> Picture:
    """Give a product a photograph."""
    new = NewPicture(picture_made("photo", body or photograph()), "", alt)
    product = Product.objects.get(code=code)
    product_picture_save(product_id=product.pk, new=new, drawing="", version="", by=BY, at=NOW)
    return Picture.objects.latest("pk")


def logo_give() -> Picture:
    """Give the kitchen a logo."""
    new = NewPicture(picture_made("logo", file_of(drawn(400, 200, "RGBA"), "PNG")), "", "A sprig")
    logo_save(new=new, has_name=False, version="", by=BY, at=NOW)
    return Picture.objects.latest("pk")


def images(document: Document) -> list[tuple[int, int]]:
    """Return the sizes of the pictures in a PDF."""
    pages = PdfReader(io.BytesIO(bytes(document.body))).pages
    return sorted({image.image.size for page in pages for image in page.images if image.image is not None})


def customers_page(quote: Quote) -> str:
    client = Client()
    client.get(f"/q/{link_create(quote_id=quote.pk, at=NOW)}/")
    return client.get(f"/q/{quote.pk}/").content.decode()


def test_the_quote_names_each_picture_by_its_hash_and_each_drawing_by_its_kind() -> None:
    picture, logo = picture_give(), logo_give()
    content = content_read(sent_make(pdf=False).content)
    by_code = {line.product: line for line in content.lines}
    cake = by_code["walnut-cake"].picture
    assert cake is not None
    assert (cake.sha256, cake.alt, cake.largest) == (picture.sha256, "A walnut cake", (1200, 900))
    assert {code: line.drawing for code, line in by_code.items()} == {
        "custard-tart": "tart", "rice-glass": "glass", "quince-square": "slab", "walnut-cake": "round"
    }  # fmt: skip
    assert content.logo is not None
    assert content.logo.sha256 == logo.sha256
    assert content.head_picture is by_code["walnut-cake"]
    assert sha256_of(canonical(content)) == Quote.objects.get().content_sha256


def test_a_content_from_before_there_were_pictures_has_its_text_and_its_hash() -> None:
    data = json.loads(sent_make(pdf=False).content)
    for line in data["lines"]:
        del line["drawing"]
    before = json.dumps(data, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    content = content_read(before)
    assert canonical(content) == before
    assert content.head_picture is None
    assert content.lines[0].drawing == ""


def test_the_customers_page_has_one_at_the_head_and_one_at_each_dessert() -> None:
    picture = picture_give()
    html = customers_page(sent_make())
    assert html.count('class="photo as-wide"') == 1
    assert html.count('class="photo as-thumb"') == 1
    assert html.count('class="drawing as-thumb"') == 3
    assert f"/pictures/{picture.sha256}/" in html
    assert "A walnut cake" in html


def test_without_a_photograph_the_page_has_drawings_and_no_head() -> None:
    html = customers_page(sent_make())
    assert html.count('class="drawing as-thumb"') == 4
    assert "as-wide" not in html


def test_a_picture_that_is_replaced_or_removed_changes_no_sent_quote() -> None:
    first = picture_give()
    quote = sent_make()
    before = customers_page(quote)
    picture_give(body=file_of(drawn(900, 900)), alt="Another")
    product = Product.objects.get(code="walnut-cake")
    picture_give(body=file_of(drawn(800, 900)), alt="A third")
    product_picture_remove(product_id=product.pk, version="")
    assert retention_apply(at=NOW + timedelta(days=400), everything=False)["picture"] == 1
    assert Picture.objects.filter(pk=first.pk).exists()
    after = customers_page(quote)
    addresses = [line for line in before.splitlines() if "/pictures/" in line]
    assert [line for line in after.splitlines() if "/pictures/" in line] == addresses
    assert Client().get(f"/pictures/{first.sha256}/320.jpg").status_code == 200


def test_the_pdf_shows_small_pictures_and_the_logo_and_comes_out_the_same_each_time(
    pdfs_rendered_anew: dict[tuple[object, ...], bytes],
) -> None:
    picture_give()
    logo_give()
    quote = sent_make(pdf=False)
    document = quote_document(quote_id=quote.pk, at=NOW)
    assert images(document) == [(320, 240), (400, 200)]
    assert len(document.body) < 120_000
    quote.refresh_from_db()
    context = pdf_context(quote)
    bodies = printed_bodies(context["pictures"])
    one = pdf_of(PDF_TEMPLATE, context, what="it", pictures=bodies)
    pdfs_rendered_anew.clear()
    assert pdf_of(PDF_TEMPLATE, context, what="it", pictures=bodies) == one


def test_pictures_do_not_make_the_pdf_a_page_longer() -> None:
    plain = quote_document(quote_id=sent_make(pdf=False).pk, at=NOW)
    picture_give()
    logo_give()
    pictured = quote_document(quote_id=sent_make(pdf=False).pk, at=NOW)
    lengths = [len(PdfReader(io.BytesIO(bytes(one.body))).pages) for one in (plain, pictured)]
    assert lengths[1] <= lengths[0] + 1
    assert images(plain) == []


def test_an_invoice_has_the_logo_of_what_was_approved() -> None:
    logo_give()
    invoice = invoice_make(order_make())
    assert images(invoice_document(invoice_id=invoice.pk, at=NOW)) == [(400, 200)]
