"""That a recipe is never hot is answered for step by step, by a person: no list of words for heat is complete."""

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.never_hot_claims import cold_by_silence, never_hot_claims
from catalog.pantry.models import Ingredient
from catalog.products.models import ProductStep
from catalog.recipes.models import Recipe, RecipeStep
from orders.approvals.models import Approval
from orders.approvals.services import ApprovalEvidence, quote_approve, quote_record_approval
from orders.quotes.cooling.selectors import broken
from orders.quotes.models import Quote
from orders.quotes.selectors import quotes_with_rows
from orders.quotes.send.check import send_check
from orders.records.cooling_errors import NeverHotUnseen, StepsUnanswered
from orders.records.errors import KitchenMustCheck
from orders.records.models import AuditEntry
from tests.factories import BY, NOW, draft_make, kitchen_make, pdf_stored
from tests.integration.catalog.cooling.test_maybe_hot import COLD, custard_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make
from tests.sending import quote_send_seen, words_read
from tests.starting import order_start

pytestmark = pytest.mark.django_db


def asked() -> list[str]:
    return [each for claim in never_hot_claims(["custard-tart"], book_current()) for each in claim.asked]


@pytest.mark.parametrize("name", ["Thermo blender, program 6", "Whip to thick and triple", "Pour on"])
def test_a_step_by_any_other_name_than_a_plain_one_is_asked_about(name: str) -> None:
    custard_make(name, "mix", never_hot=True)
    assert asked() == [name]


@pytest.mark.parametrize("words", ["until it holds a rose; then through the sieve", "On the top shelf."])
def test_whatever_is_written_beside_a_step_is_asked_about(words: str) -> None:
    custard_make("Whisk", "mix", never_hot=True)
    RecipeStep.objects.filter(recipe__code="custard").update(text=words)
    catalog_changed()
    assert asked() == [f"Whisk: {words}"]


def test_notes_are_asked_about() -> None:
    custard_make("Whisk", "mix", never_hot=True)
    Recipe.objects.filter(code="custard").update(note="pour while piping over the yolks")
    catalog_changed()
    assert asked() == ["pour while piping over the yolks"]


@pytest.mark.parametrize("name", ["Whisk", " fold in ", "Portion", ""])
def test_a_plain_step_is_not(name: str) -> None:
    custard_make(name, "mix", never_hot=True)
    assert asked() == []


def test_a_plain_name_of_a_step_that_heats_is() -> None:
    custard_make("Whisk", "cook", never_hot=True)
    assert asked() == ["Whisk"]


def test_what_has_no_steps_is_answered_for_as_a_whole() -> None:
    custard_make("Whisk", "mix", never_hot=True).steps.all().delete()
    catalog_changed()
    assert asked() == ["Custard"]


class TestReview:
    @pytest.fixture
    def quote(self) -> Quote:
        """A quote of a custard of two steps that no list of words finds hot."""
        custard = custard_make("Thermo blender, program 6", "mix", never_hot=True)
        RecipeStep.objects.create(recipe=custard, position=1, name="Through the sieve", kind="mix")
        catalog_changed()
        return draft_make(at=NOW)

    def steps(self, quote: Quote) -> list[str]:
        check = send_check(quotes_with_rows().get(pk=quote.pk), at=NOW)
        return [one.dishes[0] for one in check.to_read if one.kind == "never_hot"]

    def test_each_step_has_its_own_answer_beside_its_text_and_a_way_to_enter_how_warm_it_is(self, quote: Quote) -> None:
        owner, address = signed_in("owner"), reverse("quote-send", args=[quote.pk])
        answer = owner.get(address)
        page = text(answer)
        assert f"Custard: “Thermo blender, program 6”. Reason: {COLD}." in page
        assert "Yes, this is cold: “Thermo blender, program 6”" in page
        assert "Yes, this is cold: “Through the sieve”" in page
        edit = reverse("recipe-edit", args=[Recipe.objects.get(code="custard").pk])
        assert f'<a href="{edit}">No, it is warm: enter how warm it leaves</a>' in answer.content.decode()
        refused = text(owner.post(address, {"allergies": "on", "unstated": ""}))
        assert "Not sent. Check the box that “Through the sieve” of Custard is cold" in refused

    def test_one_answer_stands_for_no_other_step(self, quote: Quote) -> None:
        (one,) = [
            each.mark
            for each in send_check(quotes_with_rows().get(pk=quote.pk), at=NOW).to_read
            if each.dishes == ("Through the sieve",)
        ]
        with pytest.raises(NeverHotUnseen):
            quote_send_seen(quote_id=quote.pk, by=BY, at=NOW, read=[one])

    def test_it_is_recorded_by_whom_and_asked_again_when_the_steps_change(self, quote: Quote) -> None:
        seen = words_read(quote.pk)
        quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)
        entries = AuditEntry.objects.filter(event="never_hot_read", by=BY)
        assert {entry.params["products"][0] for entry in entries} == {"Thermo blender, program 6", "Through the sieve"}
        other = draft_make(at=NOW)
        assert self.steps(other) == []
        RecipeStep.objects.filter(name="Through the sieve").update(name="Through the fine sieve")
        catalog_changed()
        assert self.steps(other) == ["Thermo blender, program 6", "Through the fine sieve"]
        with pytest.raises(NeverHotUnseen):
            quote_send_seen(quote_id=other.pk, by=BY, at=NOW, read=seen)

    def changed(self, quote: Quote) -> Quote:
        quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)
        RecipeStep.objects.filter(name="Through the sieve").update(name="Stir it into the bubbling mass")
        catalog_changed()
        return pdf_stored(Quote.objects.get(pk=quote.pk))

    def test_a_step_that_changed_since_is_answered_before_the_approval(self, quote: Quote) -> None:
        sent = self.changed(quote)
        facts = {"quote_id": sent.pk, "name": "Ida Fenwick", "at": NOW}
        with pytest.raises(StepsUnanswered):
            quote_record_approval(reason="By phone", by=BY, **facts)
        with pytest.raises(KitchenMustCheck):
            quote_approve(content_sha256=sent.content_sha256, evidence=ApprovalEvidence(), **facts)
        assert not Approval.objects.exists()

    def test_a_step_that_changed_after_the_approval_is_answered_before_the_start(self) -> None:
        custard = custard_make("Thermo blender, program 6", "mix", never_hot=True)
        catalog_changed()
        order = order_make()
        custard.steps.update(name="Stir it into the bubbling mass")
        catalog_changed()
        with pytest.raises(StepsUnanswered):
            order_start(order_id=order.pk, by=BY, at=NOW)
        page = signed_in("owner").post(reverse("order-start", args=[order.pk]))
        assert "Nobody has said whether “Stir it into the bubbling mass” of Custard is cold" in text(page)
        custard.steps.update(name="Thermo blender, program 6")
        catalog_changed()
        order_start(order_id=order.pk, by=BY, at=NOW)

    def test_nobodys_word_is_claimed_for_it(self, quote: Quote) -> None:
        sent = self.changed(quote)
        page = text(signed_in("owner").get(reverse("quote-record-approval", args=[sent.pk])))
        assert "Never hot, by your word." not in page


def test_a_recipe_that_is_not_marked_is_not_asked_about_so() -> None:
    kitchen_make()
    Recipe.objects.update(never_hot=False)
    catalog_changed()
    assert asked() == []


class TestSilence:
    """Whoever says nothing is asked as much as whoever ticks that it is never hot."""

    @pytest.mark.parametrize("name", ["Thermo blender, program 6", "Whip to thick and triple", "Pour on"])
    def test_a_step_that_is_not_plainly_cold_is_asked_about_before_it_is_sent(self, name: str) -> None:
        custard_make(name, "mix", called="Vanilla layer")
        # What waits in the cold is asked about as it is.
        ProductStep.objects.filter(kind="chill").delete()
        catalog_changed()
        silent = {one.code: one for one in cold_by_silence(["custard-tart"], book_current())}
        assert (silent["custard"].asked, silent["custard"].counts_by) == ((name,), "silence")
        quote = draft_make(at=NOW)
        assert "Nothing says whether this is hot." in text(
            signed_in("owner").get(reverse("quote-send", args=[quote.pk]))
        )
        with pytest.raises(NeverHotUnseen):
            quote_send_seen(quote_id=quote.pk, read=[], by=BY, at=NOW)

    @pytest.mark.parametrize("never_hot", [True, False])
    def test_egg_or_milk_with_starch_is_asked_about_without_the_tick_too(self, *, never_hot: bool) -> None:
        custard_make("Mix", "mix", never_hot=never_hot, reason="", called="Vanilla layer")
        ProductStep.objects.filter(kind="chill").delete()
        Ingredient.objects.filter(code="sugar").update(name="Corn starch")
        catalog_changed()
        assert [one.why for one in broken({"custard-tart": 24}, book_current())] == [
            "never_hot_starch" if never_hot else "heat_unstated"
        ]
