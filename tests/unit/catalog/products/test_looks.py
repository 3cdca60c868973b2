"""Which drawing stands for a dessert, by its name, its category and its mold; and that each can be drawn."""

import re

import pytest

from catalog.molds.models import Mold
from catalog.products.looks import drawing_kind
from catalog.products.models import ProductPicture
from catalog.web.drawings import KINDS, OTHER, drawing


@pytest.mark.parametrize(
    ("name", "category", "kind"),
    [
        ("Almond and raspberry cake, 8 in (20 cm)", "whole cake", "round"),
        ("Almond and raspberry squares", "portion", "slab"),
        ("Baked vanilla custard tartlet", "portion", "tart"),
        ("Lemon curd tartlet with meringue", "portion", "tart"),
        ("Baked orange custard, cup", "portion", "pot"),
        ("Coconut set cream with pears, cup", "portion", "glass"),
        ("Dark chocolate mousse, GLASS", "portion", "glass"),
        ("Meringue kisses, bag of six", "portion", "cookie"),
        ("Cocoa truffles", "portion", "bite"),
        ("Midsummer", "whole cakes", "round"),
        ("Midsummer", "tarts", "tart"),
        ("Midsummer", "portion", "other"),
        ("Carrots", "", "other"),
        ("", "", "other"),
    ],
)
def test_the_name_speaks_first_then_the_category(name: str, category: str, kind: str) -> None:
    assert drawing_kind(name, category) == kind


def test_the_mold_speaks_where_no_word_does() -> None:
    assert drawing_kind("Midsummer", "", Mold(shape="round", wall="glass")) == "glass"
    assert drawing_kind("Midsummer", "", Mold(shape="round", wall="metal")) == "round"
    assert drawing_kind("Midsummer", "", Mold(shape="tray", wall="metal")) == "slab"
    assert drawing_kind("Midsummer tart", "", Mold(shape="tray", wall="metal")) == "tart"


def test_every_kind_that_can_be_chosen_is_drawn_within_its_frame() -> None:
    assert set(ProductPicture.Drawing.values) == set(KINDS)
    for kind in KINDS:
        svg = drawing(kind, "thumb")
        assert svg.count("<path") == 1
        assert 'aria-hidden="true"' in svg
        assert "style=" not in svg
        starts = re.findall(r"M(-?[\d.]+)[ ,](-?[\d.]+)", svg)
        assert starts
        assert all(0 <= float(x) <= 160 and 0 <= float(y) <= 120 for x, y in starts)


def test_an_unknown_kind_is_a_plate_under_its_cover_and_a_title_is_text() -> None:
    assert drawing("soup", "thumb") == drawing(OTHER, "thumb")
    assert "<title>&lt;b&gt;</title>" in drawing("tart", "printed", title="<b>")
