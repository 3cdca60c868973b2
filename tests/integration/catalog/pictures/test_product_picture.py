"""An owner gives a product its photograph; whoever sees the product sees it; nothing she entered is lost."""

import re
from datetime import UTC, datetime, timedelta
from io import BytesIO
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from catalog.kitchen.models import Kitchen
from catalog.pictures.models import Picture, PictureFile
from catalog.products.looks import look_of
from catalog.products.models import Product, ProductPicture
from catalog.products.services import product_copy
from catalog.web.access import BOOKKEEPER, KITCHEN
from orders.personal_data.retention import retention_apply
from tests.factories import BY, kitchen_make, user_make
from tests.pictures import HOSTILE, drawn, file_of, photograph

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 1, 6, 9, tzinfo=UTC)


@pytest.fixture
def tart() -> Product:
    kitchen_make()
    return Product.objects.get(code="custard-tart")


@pytest.fixture
def owner(client: Client) -> Client:
    client.force_login(user_make())
    return client


def page(product: Product) -> str:
    return f"/catalog/products/{product.pk}/picture/"


def sent(owner: Client, product: Product, body: bytes | None = None, name: str = "tart.jpg", **more: Any) -> Any:
    """Send the form of the picture's page as a browser would."""
    found = re.search(r'name="version" value="([^"]*)"', owner.get(page(product)).content.decode())
    assert found is not None
    data = {"version": found[1], "alt": "A custard tart", "drawing": "", "do": "save", **more}
    if body is not None:
        data["file"] = SimpleUploadedFile(name, body, "image/jpeg")
    return owner.post(page(product), data)


def words(response: Any) -> str:
    return " ".join(re.sub(r"<[^>]*>", " ", response.content.decode()).split())


def shown(client: Client, address: str) -> list[str]:
    """Return the addresses of a page's photographs."""
    return re.findall(r'<img class="photo[^"]*" src="([^"]*)"', client.get(address).content.decode())


def test_a_photograph_is_on_the_products_pages_in_its_sizes(owner: Client, tart: Product) -> None:
    answer = sent(owner, tart, photograph())
    assert (answer.status_code, answer["Location"]) == (302, f"/catalog/products/{tart.pk}/")
    picture = Picture.objects.get()
    for address in ("/catalog/products/", f"/catalog/products/{tart.pk}/", f"/catalog/products/{tart.pk}/edit/"):
        assert shown(owner, address)[0].startswith(f"/pictures/{picture.sha256}/")
    html = owner.get(f"/catalog/products/{tart.pk}/").content.decode()
    (tag,) = re.findall(r"<img class=\"photo as-wide[^>]*>", html)
    assert 'alt="A custard tart"' in tag
    assert 'width="1200" height="900"' in tag
    assert 'loading="lazy"' not in tag
    assert [part.split()[1] for part in re.findall(r'srcset="([^"]*)"', tag)[0].split(", ")] == [
        "320w",
        "640w",
        "1200w",
    ]
    (tag,) = re.findall(r"<img class=\"photo as-thumb[^>]*>", owner.get("/catalog/products/").content.decode())
    assert 'alt=""' in tag
    assert 'loading="lazy"' in tag


def test_until_then_a_drawing_of_its_kind_stands_there_or_the_one_she_chose(owner: Client, tart: Product) -> None:
    assert look_of(tart).drawing == "tart"
    before = owner.get(f"/catalog/products/{tart.pk}/").content.decode()
    assert '<svg class="drawing as-wide"' in before
    assert "Add a picture" in before
    assert sent(owner, tart, drawing="pot").status_code == 302
    assert look_of(tart).drawing == "pot"
    assert not ProductPicture.objects.get().alt


@pytest.mark.parametrize("role", [KITCHEN, BOOKKEEPER])
def test_only_the_owner_changes_a_picture(client: Client, tart: Product, role: str) -> None:
    client.force_login(user_make(role, name=role))
    assert client.get(page(tart)).status_code == 403
    assert client.post(page(tart), {"do": "remove"}).status_code == 403


def test_the_description_is_suggested_from_the_name_and_asked_for(owner: Client, tart: Product) -> None:
    assert f'name="alt" value="{tart.name}"' in owner.get(page(tart)).content.decode()
    answer = sent(owner, tart, photograph(), alt=" ")
    assert answer.status_code == 422
    assert "Write what the picture shows" in words(answer)
    assert not ProductPicture.objects.filter(picture__isnull=False).exists()


def test_a_picture_that_cannot_be_saved_yet_need_not_be_chosen_again(owner: Client, tart: Product) -> None:
    answer = sent(owner, tart, photograph(), alt="", drawing="pot")
    held = re.findall(r'name="held" value="([^"]*)"', answer.content.decode())
    assert "The picture you chose is here" in words(answer)
    assert sent(owner, tart, held=held[0], drawing="pot").status_code == 302
    look = look_of(tart)
    assert look.picture is not None
    assert (look.picture.sha256, look.picture.alt, look.drawing) == (held[0], "A custard tart", "pot")


@pytest.mark.parametrize(
    "name", ["page.jpg", "drawing.svg", "dance.gif", "IMG_1.HEIC", "half.jpg", "bomb.png", "nothing.jpg"]
)
def test_a_refused_file_says_so_at_its_field_and_loses_nothing_entered(owner: Client, tart: Product, name: str) -> None:
    answer = sent(owner, tart, HOSTILE[name][0], name, alt="My grandmother's tart", drawing="pot")
    assert answer.status_code == 422
    html = answer.content.decode()
    assert re.search(r'href="#id_file">The (picture|file)', html)
    assert "My grandmother&#x27;s tart" in html
    assert '<option value="pot" selected>' in html
    assert not Picture.objects.exists()


def test_a_file_larger_than_is_read_is_refused_and_no_page_fails(owner: Client, tart: Product) -> None:
    answer = sent(owner, tart, photograph() + b"\0" * (13 * 1024 * 1024))
    assert answer.status_code == 422
    assert "larger than 12 MB" in words(answer)


def test_a_removed_picture_can_be_put_back_and_a_replaced_one_too(owner: Client, tart: Product) -> None:
    first, second = photograph(), file_of(drawn(900, 900))
    sent(owner, tart, first)
    one = look_of(tart).picture
    answer = sent(owner, tart, do="remove")
    assert answer["Location"] == page(tart)
    assert look_of(tart).picture is None
    assert "You can put it back" in words(owner.get(page(tart)))
    sent(owner, tart, do="put-back")
    assert look_of(tart).picture == one
    sent(owner, tart, second, alt="Another")
    two = look_of(tart).picture
    sent(owner, tart, do="put-back", alt="not saved by that button")
    assert look_of(tart).picture == one
    sent(owner, tart, do="put-back")
    assert look_of(tart).picture == two


def test_a_picture_saved_in_another_window_is_not_replaced_unseen(owner: Client, tart: Product) -> None:
    found = re.search(r'name="version" value="([^"]*)"', owner.get(page(tart)).content.decode())
    assert found is not None
    sent(owner, tart, photograph(), alt="Hers")
    data = {"version": found[1], "alt": "His", "drawing": "", "do": "save"}
    answer = owner.post(page(tart), {**data, "file": SimpleUploadedFile("b.jpg", file_of(drawn(700, 700)))})
    assert answer.status_code == 409
    assert "saved now Hers , you entered His" in words(answer)
    assert 'name="held"' in answer.content.decode()
    assert "to fix" not in words(answer)
    look = look_of(tart)
    assert look.picture is not None
    assert look.picture.alt == "Hers"


def test_beside_the_product_editor_the_form_is_answered_alone(owner: Client, tart: Product) -> None:
    html = owner.get(f"/catalog/products/{tart.pk}/edit/").content.decode()
    assert f'hx-post="{page(tart)}"' in html
    found = re.search(r'id="picture".*?name="version" value="([^"]*)"', html, re.DOTALL)
    assert found is not None
    data = {"version": found[1], "alt": "A tart", "drawing": "", "do": "save"}
    data["file"] = SimpleUploadedFile("tart.jpg", photograph())  # type: ignore[assignment]  # as a browser sends it
    answer = owner.post(page(tart), data, headers={"HX-Request": "true"})
    assert answer.status_code == 200
    assert "The picture is saved." in words(answer)
    assert 'role="status"' in answer.content.decode()
    assert f'hx-post="{page(tart)}"' in answer.content.decode(), "the form that comes back is one beside the editor too"


def test_a_file_is_served_for_good_to_whoever_knows_its_hash(owner: Client, tart: Product) -> None:
    sent(owner, tart, photograph())
    address = shown(owner, f"/catalog/products/{tart.pk}/")[0]
    anybody = Client()
    answer = anybody.get(address)
    assert answer["Content-Type"] == "image/jpeg"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert {part.strip() for part in answer["Cache-Control"].split(",")} == {"public", "max-age=31536000", "immutable"}
    assert "img-src 'self'" in answer["Content-Security-Policy"]
    image = Image.open(BytesIO(answer.content))
    image.load()
    assert image.size == (640, 480)
    again = anybody.get(address, headers={"If-None-Match": answer["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert anybody.head(address).status_code == 200
    assert anybody.post(address).status_code == 405


@pytest.mark.parametrize("end", ["641.jpg", "640.png", "640.svg", "99999999999999999999999.jpg", "0.jpg"])
def test_an_address_that_names_no_file_is_not_found(owner: Client, tart: Product, end: str) -> None:
    sent(owner, tart, photograph())
    assert Client().get(f"/pictures/{Picture.objects.get().sha256}/{end}").status_code == 404
    assert Client().get("/pictures/none/320.jpg").status_code == 404


def test_what_nothing_shows_goes_after_a_month(owner: Client, tart: Product) -> None:
    for side in (500, 600, 700):
        sent(owner, tart, file_of(drawn(side, side)))
    assert Picture.objects.count() == 3
    uploaded = Picture.objects.latest("pk").uploaded_at
    assert retention_apply(at=uploaded + timedelta(days=29), everything=False)["picture"] == 0
    assert retention_apply(at=uploaded + timedelta(days=31), everything=False)["picture"] == 1
    # The one that is shown stays, and the one before it, which can be put back.
    assert sorted(picture.sizes[-1][0] for picture in Picture.objects.all()) == [600, 700]
    assert set(PictureFile.objects.values_list("picture", flat=True)) == set(
        Picture.objects.values_list("pk", flat=True)
    )


def test_what_is_uploaded_again_is_as_old_as_its_last_upload(owner: Client, tart: Product) -> None:
    for side in (500, 600, 700):
        sent(owner, tart, file_of(drawn(side, side)))
    Picture.objects.update(uploaded_at=NOW - timedelta(days=9_000))
    again = Picture.objects.earliest("pk")
    # Chosen again and not yet saved, for want of a description.
    assert sent(owner, tart, file_of(drawn(500, 500)), alt="").status_code == 422
    today = Picture.objects.get(pk=again.pk).uploaded_at
    assert today > NOW - timedelta(days=9_000)
    assert retention_apply(at=today + timedelta(days=1), everything=False)["picture"] == 0


def test_another_size_of_a_product_looks_the_same_and_a_deleted_one_takes_its_use_along(
    owner: Client, tart: Product
) -> None:
    sent(owner, tart, photograph())
    copy = product_copy(product_id=tart.pk, name="Custard tart, small", by=BY, at=NOW)
    assert look_of(copy).picture == look_of(tart).picture
    answer = owner.post(f"/catalog/products/{copy.pk}/delete/")
    assert answer.status_code == 302
    assert ProductPicture.objects.count() == 1


def test_the_logo_is_at_the_head_of_a_customers_page(owner: Client, tart: Product) -> None:
    html = owner.get("/kitchen/logo/").content.decode()
    found = re.search(r'name="version" value="([^"]*)"', html)
    assert found is not None
    kitchen = Kitchen.objects.get()
    assert f'name="alt" value="{kitchen.name}"' in html
    clear = Image.new("RGBA", (600, 300), (110, 44, 78, 120))
    data = {"version": found[1], "alt": "A sprig", "do": "save", "has_name": "on"}
    answer = owner.post("/kitchen/logo/", {**data, "file": SimpleUploadedFile("logo.png", file_of(clear, "PNG"))})
    assert (answer.status_code, answer["Location"]) == (302, "/kitchen/logo/")
    customers = Client().get("/q/ran-out/").content.decode()
    assert re.search(
        r'<p class="kitchen"><img class="logo" src="/pictures/[0-9a-f]{64}/\d+\.png"[^>]* alt="A sprig"', customers
    )
    assert f"<span>{kitchen.name}</span>" not in customers


def test_a_logo_is_chosen_once_the_kitchen_is_set_up(client: Client) -> None:
    client.force_login(user_make())
    assert client.get("/kitchen/logo/")["Location"] == "/kitchen/"
