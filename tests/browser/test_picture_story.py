"""The owner gives a dessert its photograph while she edits it; the customer sees it; the pages meet the rules."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.urls import reverse
from playwright.sync_api import Page, expect

from catalog.products.looks import look_of
from catalog.products.models import Product
from orders.approvals.links import link_create
from tests.browser.conftest import OpenPage, save_picture
from tests.factories import NOW, kitchen_make, sent_make, user_make
from tests.pictures import HOSTILE, photograph

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
SignIn = Callable[[Page, User], None]


@pytest.fixture
def owner() -> User:
    kitchen_make()
    return user_make()


def _file(folder: Path, name: str, body: bytes) -> Path:
    file = folder / name
    file.write_bytes(body)
    return file


def test_she_adds_a_picture_and_loses_nothing_of_what_she_is_editing(
    live_server: Any, open_page: OpenPage, sign_in: SignIn, owner: User, tmp_path: Path
) -> None:
    cake = Product.objects.get(code="walnut-cake")
    page = open_page()
    sign_in(page, owner)
    page.goto(live_server.url + reverse("product-edit", args=[cake.pk]))
    page.locator("#id_description").fill("Walnuts from the yard.")
    picture = page.locator("#picture")
    expect(picture.locator("svg.drawing")).to_be_visible()
    expect(picture.get_by_label("Description of the picture")).to_have_value(cake.name)

    picture.get_by_label("Picture", exact=True).set_input_files(_file(tmp_path, "cake.jpg", HOSTILE["dance.gif"][0]))
    picture.get_by_label("Description of the picture").fill("A walnut cake on a stand")
    picture.get_by_role("button", name="Save picture").click()
    expect(picture.locator("[data-errors]")).to_contain_text("The picture is a GIF. Save it as PNG or JPEG.")
    expect(picture.get_by_label("Description of the picture")).to_have_value("A walnut cake on a stand")

    picture.get_by_label("Picture", exact=True).set_input_files(_file(tmp_path, "cake2.jpg", photograph()))
    picture.get_by_role("button", name="Save picture").click()
    expect(picture.get_by_text("The picture is saved.")).to_be_visible()
    shown = picture.get_by_role("img", name="A walnut cake on a stand")
    expect(shown).to_be_visible()
    page.wait_for_function("() => document.querySelector('#picture img.photo')?.naturalWidth > 0")
    expect(page.locator("#id_description")).to_have_value("Walnuts from the yard.")

    picture.get_by_role("button", name="Remove picture").click()
    expect(picture.get_by_text("The picture is removed. You can put it back.")).to_be_visible()
    picture.get_by_role("button", name="Put back earlier picture").click()
    expect(picture.get_by_text("The earlier picture is back.")).to_be_visible()
    expect(picture.get_by_role("img", name="A walnut cake on a stand")).to_be_visible()
    expect(page.locator("#id_description")).to_have_value("Walnuts from the yard.")
    assert look_of(cake).picture is not None

    page.get_by_role("button", name="Save product").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(cake.name)
    cake.refresh_from_db()
    assert cake.description == "Walnuts from the yard."


@pytest.mark.parametrize("width", [1280, 320])
def test_pages_with_pictures_meet_the_rules(
    live_server: Any,
    open_page: OpenPage,
    sign_in: SignIn,
    axe: Callable[[Page], list[str]],
    owner: User,
    tmp_path: Path,
    width: int,
) -> None:
    cake = Product.objects.get(code="walnut-cake")
    page = open_page(width=width)
    sign_in(page, owner)
    page.goto(live_server.url + reverse("product-picture", args=[cake.pk]))
    page.get_by_label("Picture", exact=True).set_input_files(_file(tmp_path, "cake.jpg", photograph()))
    page.get_by_role("button", name="Save picture").click()
    expect(page.get_by_text("The picture is saved.")).to_be_visible()
    link = f"/q/{link_create(quote_id=sent_make().pk, at=NOW)}/"
    for address in (
        reverse("products"),
        reverse("product", args=[cake.pk]),
        reverse("product-edit", args=[cake.pk]),
        reverse("product-picture", args=[cake.pk]),
        reverse("kitchen-logo"),
        link,
    ):
        page.goto(live_server.url + address)
        assert axe(page) == [], address
        assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth"), address
    save_picture(page, f"quote-with-pictures-{width}")
