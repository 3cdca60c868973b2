"""A draft's table, its estimate, its problems, and its terms."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import OpenHours
from catalog.kitchen.selectors import kitchen
from catalog.pantry.models import Ingredient, Pack
from catalog.price_rules.models import PriceRule
from costing.timing.schedule import Answer, Obstacle
from costing.timing.spans import minute_of
from orders.quotes.draft.dessert_table import DessertTable, table_of
from orders.quotes.draft.estimate import DraftEstimate, Leftover, estimate_draft
from orders.quotes.draft.issue_presenters import CoolingShown, issues
from orders.quotes.draft.presenters import DraftShown, draft_shown, fewer_sentence, price_sentence, window_shown
from orders.quotes.draft.services import draft_override, draft_save, draft_start
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_withdraw
from orders.records.errors import NotADraft, OverrideNeedsReason
from orders.records.models import AuditEntry
from tests import factories
from tests.factories import BY, NOW
from tests.refusals import refused
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db


def estimated(quote: Quote, table: Any = None, **asked: Any) -> DraftEstimate:
    asked = {"guests": 80, "pieces_per_guest": Decimal("2.5"), **asked}
    return estimate_draft(
        factories.table_make() if table is None else table,
        inquiry=quote.inquiry,
        kitchen=kitchen(),
        now=NOW,
        **asked,
    )


def shown(quote: Quote, table: Any = None, **asked: Any) -> DraftShown:
    return draft_shown(estimated(quote, table, **asked), quote.inquiry)


def test_a_table_is_estimated_with_parts_that_add_up_to_each_line(quote: Quote) -> None:
    found = estimated(quote)
    assert not found.problems
    assert [line.product.code for line in found.lines][-1] == "walnut-cake"
    for line in found.lines:
        parts = (line.line.ingredients, line.line.packaging, line.line.labor, line.line.overhead, line.left)
        assert abs(sum(parts) - line.line.net) < Decimal("1e-9")


def test_pieces_are_those_of_the_shared_lines_and_the_centrepiece_stands_beside(quote: Quote) -> None:
    found = estimated(quote)
    assert (found.asked, found.servings, found.over, found.short) == (200, 210, 10, 0)
    assert [line.product.code for line in found.centerpieces] == ["walnut-cake"]
    assert "6 fewer of Custard tart, 10 cm would still be enough and save" in fewer_sentence(found)
    short = estimated(quote, guests=100)
    assert (short.over, short.short) == (0, 40)
    assert fewer_sentence(short) == ""


def test_what_a_guest_cannot_eat_is_named_with_the_product(quote: Quote) -> None:
    (need,) = shown(quote).needs_unmet
    assert (need.title, need.sentence) == (
        "Some guests cannot have tree nuts",
        "Not for them: Walnut sponge cake, two tiers (contains walnuts). Free of it, by the suppliers' labels: "
        "Custard tart, 10 cm; Saffron rice cream with quince, glass; Quince square.",
    )
    quote.inquiry.allergies = ["gluten"]
    assert not_free(quote) == {"Custard tart, 10 cm", "Quince square"}
    quote.inquiry.allergies = ["sesame"]
    assert not not_free(quote)
    assert [need.sentence for need in shown(quote).needs] == [
        "Everything on this table is free of sesame, by the suppliers' labels."
    ]


def not_free(quote: Quote) -> set[str]:
    """Return the products that some need of the guests is not free of."""
    return {dish.name for need in estimated(quote).needs for dish in need.dishes if dish.serves != "free"}


def test_a_need_says_how_many_guests_have_it_and_what_would_serve_them(quote: Quote) -> None:
    quote.inquiry.allergies, quote.inquiry.need_counts = ["gluten"], {"gluten": 2}
    only = DessertTable(lines=table_of(quote).lines[:1])
    assert [line.code for line in only.lines] == ["custard-tart"]
    (need,) = shown(quote, only).needs
    assert need.title == "2 guests cannot have gluten (celiac)"
    assert need.sentence == (
        "Not for them: Custard tart, 10 cm (contains wheat). Nothing on this table is known to be free of it, by the "
        "suppliers' labels."
    )
    assert need.instead == "Saffron rice cream with quince, glass; Walnut sponge cake, two tiers"


class TestWhatElseSuits:
    """What the catalog has for guests whom the table does not serve."""

    def only(self, quote: Quote, code: str) -> DessertTable:
        return DessertTable(lines=tuple(line for line in table_of(quote).lines if line.code == code))

    def test_several_needs_are_first_served_together(self, quote: Quote) -> None:
        quote.inquiry.allergies = ["gluten", "tree-nuts"]
        found = shown(quote, self.only(quote, "custard-tart"))
        name = "Saffron rice cream with quince, glass"
        assert found.for_every_need == f"Other desserts in the catalog that suit all of these needs: {name}."
        gluten, nuts = found.needs
        assert gluten.instead == "Saffron rice cream with quince, glass; Walnut sponge cake, two tiers"
        assert not nuts.instead

    def test_what_suits_every_need_stands_first_for_each(self, quote: Quote) -> None:
        quote.inquiry.allergies = ["tree-nuts", "gluten"]
        found = shown(quote, self.only(quote, "walnut-cake"))
        (nuts, _) = found.needs
        assert nuts.instead.startswith("Saffron rice cream with quince, glass; ")

    def test_what_is_not_checked_for_one_of_them_suits_nobody_together(self, quote: Quote) -> None:
        Ingredient.objects.filter(code="saffron").update(allergen_answers={})
        catalog_changed()
        quote.inquiry.allergies = ["gluten", "tree-nuts"]
        found = shown(quote, self.only(quote, "custard-tart"))
        assert found.for_every_need == "No other dessert in the catalog is known to suit all of these needs."
        assert [need.instead for need in found.needs] == ["Walnut sponge cake, two tiers", ""]

    def test_one_need_or_a_table_that_serves_all_asks_for_nothing(self, quote: Quote) -> None:
        assert shown(quote, self.only(quote, "custard-tart")).for_every_need == ""
        quote.inquiry.allergies = ["sesame", "peanuts"]
        assert shown(quote).for_every_need == ""


def test_what_nobody_checked_is_not_free_and_is_named_with_the_ingredient(quote: Quote) -> None:
    Ingredient.objects.filter(code="saffron").update(allergen_answers={})
    catalog_changed()
    quote.inquiry.allergies = ["sesame"]
    (need,) = shown(quote).needs_unmet
    assert need.sentence.startswith("Not for them: Saffron rice cream with quince, glass (not checked yet). Free of it")
    (dish,) = shown(quote).unchecked
    assert (dish.name, dish.where) == ("Saffron rice cream with quince, glass", "Saffron (22 allergens)")


@pytest.mark.parametrize("cereal", ["wheat", "rye", "barley", "oats", "gluten"])
def test_who_cannot_eat_gluten_gets_no_cereal_that_has_it(quote: Quote, cereal: str) -> None:
    flour = Ingredient.objects.get(code="flour")
    flour.allergens, flour.allergen_answers = [cereal], flour.allergen_answers | {"wheat": "free"}
    flour.allergen_answers.pop(cereal, None)
    flour.save()
    catalog_changed()
    quote.inquiry.allergies = ["gluten"]
    assert not_free(quote) == {"Custard tart, 10 cm", "Quince square"}
    # Whoever avoids wheat alone may eat the others, unless nobody named the cereal.
    quote.inquiry.allergies = ["wheat"]
    assert bool(not_free(quote)) is (cereal in ("wheat", "gluten"))


def test_cautions_name_the_pack_left_over_and_the_budget(quote: Quote) -> None:
    quote.inquiry.budget_minor = 150_000
    wording = " ".join(shown(quote).cautions)
    assert "Saffron: 1 × 10 g bought, 20% of it used" in wording
    assert "over the budget of $1,500.00" in wording


def test_a_missing_price_is_a_sentence_with_the_way_to_put_it_right(quote: Quote) -> None:
    Pack.objects.filter(ingredient__code="milk").delete()
    catalog_changed()
    found = estimated(quote)
    assert found.estimate is None
    problem = shown(quote).problems[0]
    assert "milk" in problem.sentence
    assert problem.link.endswith("/")


def test_a_product_without_a_rule_is_named_beside_its_line(quote: Quote) -> None:
    PriceRule.objects.exclude(code__startswith="portion").delete()
    catalog_changed()
    problem = shown(quote).problems[0]
    assert problem.product == "walnut-cake"
    assert problem.link == reverse("kitchen-rules")


def test_estimating_takes_the_same_queries_whatever_stands_on_the_table(quote: Quote) -> None:
    counts = []
    for lines in (1, 4):
        table = factories.table_make(lines=factories.table_make().lines[:lines])
        estimated(quote, table)
        with CaptureQueriesContext(connection) as caught:
            shown(quote, table)
        counts.append(len(caught))
    # Seven of them read cooling data; after a commit it is cached, and takes one query.
    assert counts[0] == counts[1] <= 33


def test_a_window_before_the_tarts_are_set_is_answered_with_the_first_that_works(quote: Quote) -> None:
    inquiry = quote.inquiry
    inquiry.window_start, inquiry.window_end = NOW + timedelta(hours=10), NOW + timedelta(hours=11)
    answer = window_shown(estimated(quote).window)
    assert answer is not None
    assert not answer.fits
    assert answer.sentence.startswith("Not before Thursday, January 7, 2027, ")
    assert "needs “Set in the cold”" in answer.sentence
    assert answer.instead.startswith("Thursday, January 7, 2027, ")
    inquiry.window_start, inquiry.window_end = NOW + timedelta(days=3), NOW + timedelta(days=3, hours=1)
    later = window_shown(estimated(quote).window)
    assert later is not None
    assert later.fits
    assert "Work starts" in later.sentence


def test_between_two_windows_that_work_the_asked_one_is_not_called_too_early(
    quote: Quote, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A day off lies between: what was made before keeps no longer, and an earlier window works all the same."""
    asked = minute_of(quote.inquiry.window_start)
    reason = Obstacle("not_before", "Custard tart", "Set in the cold", asked + 1440, asked - 1440, asked - 1200)
    answers = iter([(asked - 480, asked - 420), (asked + 1440, asked + 1500)])
    monkeypatch.setattr(
        "orders.quotes.draft.windows.check_window", lambda *_, **__: Answer(False, reason, next(answers), None)
    )
    before, after = (window_shown(estimated(quote).window) for _ in range(2))
    assert before is not None
    assert after is not None
    assert before.sentence.startswith(
        "Not at this time: Custard tart made earlier no longer keeps, and the next is ready from "
    )
    assert after.sentence.startswith("Not before ")


def test_a_price_rule_is_named_by_what_it_fits_not_by_its_code(quote: Quote) -> None:
    table = factories.table_make()
    cheap = table.with_line(table.lines[0].code, unit_price_minor=100)
    found = estimated(quote, cheap)
    cautions = draft_shown(found, quote.inquiry).cautions
    wording = " ".join((*(price_sentence(line, found.currency) for line in found.lines), *cautions))
    assert "misses the margin" in wording
    assert "the rule “category " in wording
    for code in PriceRule.objects.values_list("code", flat=True):
        assert f"“{code}”" not in wording


def test_without_hours_or_for_a_day_that_has_passed_nothing_is_claimed(quote: Quote) -> None:
    quote.inquiry.window_start = NOW - timedelta(days=1)
    assert estimated(quote).window is None
    OpenHours.objects.all().delete()
    catalog_changed()
    quote.inquiry.window_start = factories.EVENT
    assert estimated(quote).window is None


def test_saving_replaces_the_table_and_takes_a_reason_for_another_table_back(quote: Quote) -> None:
    draft_override(quote_id=quote.pk, reason="A friend's wedding", by=BY, at=NOW)
    table = factories.table_make(discount=Decimal("0.1"))
    stored = draft_save(quote_id=quote.pk, table=table, guests=90, by=BY, at=NOW + timedelta(days=1))
    quote.refresh_from_db()
    quote.inquiry.refresh_from_db()
    assert (quote.override_reason, quote.override_by, quote.override_at) == ("", "", None)
    assert stored.discount == Decimal("0.1")
    assert quote.costing_date == date(2027, 1, 7)
    assert quote.inquiry.guests == 90


def test_saving_the_same_table_keeps_the_reason(quote: Quote) -> None:
    draft_override(quote_id=quote.pk, reason="A friend's wedding", by=BY, at=NOW)
    stored = draft_save(quote_id=quote.pk, table=factories.table_make(), by=BY, at=NOW)
    assert stored.override_reason == "A friend's wedding"


def test_going_below_the_floor_needs_a_reason_and_is_on_record(quote: Quote) -> None:
    with pytest.raises(OverrideNeedsReason):
        draft_override(quote_id=quote.pk, reason="  ", by=BY, at=NOW)
    draft_override(quote_id=quote.pk, reason="A friend's wedding", by=BY, at=NOW)
    entry = AuditEntry.objects.get(document="quote", event="go_below_floor")
    assert (entry.by, entry.note) == (BY, "A friend's wedding")


def test_what_was_sent_is_not_changed(quote: Quote) -> None:
    quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)
    with refused(NotADraft, match="sent: only a draft can be changed"):
        draft_save(quote_id=quote.pk, table=factories.table_make(), by=BY, at=NOW)


def test_beginning_twice_gives_one_draft_and_another_begins_with_the_last_table(quote: Quote) -> None:
    assert draft_start(inquiry_id=quote.inquiry_id, by=BY, at=NOW) == quote
    quote_withdraw(quote_id=quote.pk, by=BY, at=NOW)
    again = draft_start(inquiry_id=quote.inquiry_id, by=BY, at=NOW)
    assert again.number != quote.number
    assert [line.units for line in again.lines.all()] == [78, 72, 60, 1]


def test_a_table_with_changed_counts_only_is_another_table() -> None:
    factories.kitchen_make()
    table = factories.table_make()
    assert replace(table, rush=True) != table
    changed = table.with_line("rice-glass", units=96)
    assert [line.units for line in changed.lines] == [78, 96, 60, 1]
    assert changed != table


def test_leftovers_worth_cents_are_a_note_and_no_warning(quote: Quote) -> None:
    found = estimated(quote)
    total = found.estimate.totals.total
    cents = Leftover("Oranges", (), Fraction(1, 2), total / 101)
    dear = Leftover("Pistachios", (), Fraction(1, 2), total / 99)
    found = replace(found, leftovers=(cents, dear))
    listed = issues(found, draft_shown(found, quote.inquiry), CoolingShown(), quote=quote)
    assert [one.sentence.partition(":")[0] for one in listed.notes] == ["Oranges"]
    warned = " ".join(one.sentence for one in listed.warnings)
    assert "Pistachios" in warned
    assert "Oranges" not in warned
