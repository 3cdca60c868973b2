"""Under a rule without times the pages say what cools faster: held against the owner's limit, or against none.

Without a limit nothing is good news, and guidance has its source beside it.
"""

import re

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.products.models import Product
from catalog.recipes.models import Recipe
from costing.chilling import PROFILES
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import cooling_kitchen_make
from tests.integration.catalog.kitchen_pages import signed_in

pytestmark = pytest.mark.django_db
GOOD = ("Meets the rule", "met, even", "What would meet the rule", "within it", "keeps the rule", 'class="note good"')
TIMED = r"<tr><th scope=\"row\">(.*?)</th>(?:<td data-label=\"Your limit:\">(.*?)</td>)?<td[^>]*\"Cold, at the fastest:"


def batch_page(rules: str, **home: object) -> str:
    batch_kitchen_make(profile={"food_safety": rules, "degrees": "C"}, depth_cm=5)
    Kitchen.objects.update(**home)
    catalog_changed()
    address = reverse("recipe-cooling", args=[Recipe.objects.get(code="custard").pk])
    return " ".join(signed_in("owner").get(address, {"amount": "4 kg"}).content.decode().split())


def product_page(rules: str) -> str:
    cooling_kitchen_make(food_safety=rules, degrees="C", diameter_cm="25", height_cm="7.5", leaves_c="68")
    address = reverse("product-cooling", args=[Product.objects.get(code="custard-tart").pk])
    return " ".join(signed_in("owner").get(address).content.decode().split())


def ways(page: str) -> list[tuple[str, str]]:
    """Return each way of the table with its standing against the limit."""
    return re.findall(TIMED, page)


@pytest.mark.parametrize("rules", ["eu", "uk-en", "uk-sc", "ca-qc"])
def test_a_batch_has_ways_to_cool_it_faster_and_none_is_called_good(rules: str) -> None:
    page, guidance = batch_page(rules), PROFILES[rules].guidance
    assert "What cools it faster" in page
    assert len(ways(page)) > 3
    assert not [words for words in GOOD if words in page]
    assert guidance is not None
    assert f"Guidance, no limit: {guidance.title}. Source: {guidance.source}." in page
    assert "stirred every 10 min" in page
    assert "first, stirred every 10 min, about" in page
    assert "Take the lid off" not in page


def test_a_product_has_them_too() -> None:
    page = product_page("eu")
    assert [way for way, _ in ways(page) if way.startswith("A blast chiller at")]
    assert not [words for words in GOOD if words in page]
    assert "would meet the rule" not in page


def test_what_is_over_the_vessels_owned_is_not_the_only_way_to_divide_it() -> None:
    found = [way for way, _ in ways(batch_page("eu")) if way.startswith("Divided over")]
    assert found
    assert "not possible" not in found[0]


def test_a_limit_of_the_house_is_what_they_are_held_against() -> None:
    page = batch_page("eu", time_out_minutes=240, time_out_source="Our plan, March 2026")
    assert "held against your own limit out of the cold, 4 h. Source: Our plan, March 2026." in page
    assert "Guidance, no limit" not in page
    standing = {words.replace("<strong>", "").replace("</strong>", "") for _, words in ways(page)}
    assert "within it, even if it cools slowly" in standing
    assert "longer than that" in standing


def test_only_what_cools_faster_is_listed_and_the_fastest_first() -> None:
    page = batch_page("eu")
    slow = re.findall(r'data-label="Cold, at the slowest:">(.*?)</td>', page)
    minutes = [_minutes(words) for words in slow]
    assert minutes == sorted(minutes)


def _minutes(words: str) -> float:
    found = re.fullmatch(r"(?:(\d+) d)?\s*(?:(\d+) h)?\s*(?:(\d+) min)?", words)
    assert found is not None, words
    days, hours, rest = (int(part or 0) for part in found.groups())
    return days * 1440 + hours * 60 + rest


def test_every_rule_without_times_has_guidance_with_a_source_and_no_other_has() -> None:
    for rule in PROFILES.values():
        assert (rule.guidance is None) == bool(rule.legs), rule.code
        assert rule.guidance is None or rule.guidance.source
