"""The owner's page of what is measured instead of a cooling rule, and the pages that lead there."""

import re
from datetime import timedelta
from fractions import Fraction

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.missing import Missing
from catalog.kitchen.models import Kitchen, OpenHours
from catalog.records.reasons import Reason
from catalog.vessels.models import Vessel
from catalog.web import display
from orders.quotes.cooling.presenters import never_shown, unrecorded_sentence, verdict_words
from orders.quotes.cooling.reading_presenters import due_words
from orders.quotes.cooling.reading_times import ReadingDue, ReadingTimes
from orders.quotes.cooling.selectors import Broken, Item, RuledTable, broken, ruled_now
from orders.quotes.models import CoolingOverride, Quote
from orders.quotes.send.services import quote_withdraw
from tests.batch_kitchen import batch_kitchen_make
from tests.cooling_kitchen import DEEP, MEASURED, cooling_kitchen_make, measuring_submitted, override_make
from tests.factories import BY, NOW, kitchen_make
from tests.integration.catalog.kitchen_pages import text
from tests.integration.orders.quotes.cooling.drafts import drafted
from tests.integration.orders.register.test_register import signed_in

pytestmark = pytest.mark.django_db


class TestPages:
    @pytest.fixture
    def quote(self) -> Quote:
        cooling_kitchen_make(**DEEP)
        return drafted()

    @pytest.fixture
    def owner(self) -> Client:
        return signed_in("owner")

    def values(self, client: Client, quote: Quote, *hours: str, **parts: str) -> dict[str, str]:
        page = client.get(reverse("quote-cooling", args=[quote.pk]))
        (one,) = page.context["edit"].record.broken
        return measuring_submitted(str(one.item), *hours, **parts) | {"version": page.context["edit"].version}

    def test_the_draft_and_the_check_lead_to_the_page(self, owner: Client, quote: Quote) -> None:
        link = reverse("quote-cooling", args=[quote.pk])
        draft = owner.get(reverse("inquiry", args=[quote.inquiry_id])).content.decode()
        assert f'<a href="{link}">Record what is measured</a>' in draft
        check = owner.get(reverse("quote-send", args=[quote.pk])).content.decode()
        assert link in check
        assert "Or record what is measured instead, and by whom, before sending." in check
        assert "Send quote" not in check

    def test_it_is_recorded_and_shown_where_it_is_sent(self, owner: Client, quote: Quote) -> None:
        data = self.values(owner, quote)
        answer = owner.post(reverse("quote-cooling", args=[quote.pk]), data, follow=True)
        assert answer.redirect_chain[-1][0] == reverse("quote-send", args=[quote.pk])
        assert f"“{MEASURED}”, by Tomas" in answer.content.decode()
        assert quote.cooling_overrides.get().measured == MEASURED

    def test_nobody_and_nothing_is_chosen_before_somebody_does(self, owner: Client, quote: Quote) -> None:
        form = owner.get(reverse("quote-cooling", args=[quote.pk])).context["forms"][0]
        shown = {name: form[name].value() for name in ("what", "who", "too_warm", "hour_0", "hour_1")}
        assert shown == {"what": None, "who": None, "too_warm": None, "hour_0": "2", "hour_1": "6"}

    def test_an_empty_field_is_named_and_the_other_stays(self, owner: Client, quote: Quote) -> None:
        data = self.values(owner, quote, "1.5", "6", who="")
        page = owner.post(reverse("quote-cooling", args=[quote.pk]), data)
        assert page.status_code == 200
        assert "Choose who measures Custard tart, 10 cm." in page.content.decode()
        assert 'value="1.5"' in page.content.decode()
        assert not CoolingOverride.objects.exists()

    def test_all_that_is_wrong_is_said_at_once(self, owner: Client, quote: Quote) -> None:
        data = self.values(owner, quote, "3", "6", who="", what="")
        page = text(owner.post(reverse("quote-cooling", args=[quote.pk]), data))
        assert "Choose what is measured instead for Custard tart, 10 cm." in page
        assert "Custard tart, 10 cm: enter after how many hours it is read for 70 °F: 2 h at most." in page
        assert "Choose who measures Custard tart, 10 cm." in page

    def test_people_of_the_kitchen_are_offered_by_name(self, owner: Client, quote: Quote) -> None:
        signed_in("kitchen")
        User.objects.filter(groups__name="kitchen").update(first_name="Nell", last_name="Harrow")
        data = self.values(owner, quote) | {}
        key = next(name for name in data if name.endswith("-who"))
        owner.post(reverse("quote-cooling", args=[quote.pk]), data | {key: "Nell Harrow"})
        assert quote.cooling_overrides.get().measured_by == "Nell Harrow"

    def test_what_counts_already_stays_where_nothing_is_changed(self, owner: Client, quote: Quote) -> None:
        override_make(quote, measured="Probe each hour, as in the records of before")
        address = reverse("quote-cooling", args=[quote.pk])
        page = owner.get(address)
        assert "“Probe each hour, as in the records of before”, by Tomas" in page.content.decode()
        answer = owner.post(address, {"version": page.context["edit"].version})
        assert answer.status_code == 302
        assert quote.cooling_overrides.count() == 1

    def test_a_record_is_shown_in_its_parts(self, owner: Client, quote: Quote) -> None:
        override_make(quote)
        form = owner.get(reverse("quote-cooling", args=[quote.pk])).context["forms"][0]
        assert (form["what"].value(), form["who"].value(), form["who_else"].value()) == ("piece", "other", "Tomas")

    def test_of_two_windows_the_second_sees_both(self, owner: Client, quote: Quote) -> None:
        data = self.values(owner, quote, "1", "5", who="Odile")
        override_make(quote)
        page = owner.post(reverse("quote-cooling", args=[quote.pk]), data)
        assert page.status_code == 409
        assert "Odile" in page.content.decode()
        assert MEASURED in page.content.decode()
        assert quote.cooling_overrides.count() == 1

    def test_without_a_version_nothing_recorded_is_overwritten(self, owner: Client, quote: Quote) -> None:
        data = self.values(owner, quote, "1", "5", who="Odile")
        del data["version"]
        override_make(quote)
        assert owner.post(reverse("quote-cooling", args=[quote.pk]), data).status_code == 409
        assert quote.cooling_overrides.get().measured == MEASURED

    def test_a_table_that_keeps_the_rule_says_so(self, owner: Client) -> None:
        cooling_kitchen_make(diameter_cm="12", height_cm="1.2")
        quote = drafted()
        page = owner.get(reverse("quote-cooling", args=[quote.pk]))
        assert "Nothing on this quote breaks the cooling rule" in page.content.decode()
        assert owner.post(reverse("quote-cooling", args=[quote.pk]), {}).status_code < 500

    @pytest.mark.parametrize("role", ["kitchen", "bookkeeper"])
    def test_only_the_owner_records_it(self, role: str, quote: Quote) -> None:
        assert signed_in(role).get(reverse("quote-cooling", args=[quote.pk])).status_code == 403

    def test_a_quote_that_came_to_nothing_has_no_such_page(self, owner: Client, quote: Quote) -> None:
        quote_withdraw(quote_id=quote.pk, by=BY, at=NOW)
        assert owner.get(reverse("quote-cooling", args=[quote.pk])).status_code == 404


def test_the_page_of_a_batch_opens_at_the_size_that_was_judged() -> None:
    one = Broken(Item("recipe", 7), "Custard", "a rule", "mark", never=True, grams=Fraction("5443.2"))
    product = Broken(Item("product", 3), "Tart", "a rule", "mark", never=True)
    shown = never_shown(RuledTable(Quote(), (), never=(one, product)))
    assert [row.link for row in shown] == [
        f"{reverse('recipe-cooling', args=[7])}?amount=5444+g",
        reverse("product-cooling", args=[3]),
    ]


def test_what_is_judged_of_a_batch_has_its_size() -> None:
    batch_kitchen_make(leaves_c=None, vessel=None)
    (one,) = (one for one in broken({"custard-tart": 24}, book_current()) if one.item.kind == "recipe")
    assert one.grams is not None
    assert one.grams > 0


@pytest.mark.parametrize("code", ["heat_unstated", "heat_in_words"])
def test_what_may_be_hot_or_cold_is_not_called_hot(code: str) -> None:
    params = {"part": "Custard", "holds": ("egg",), "word": "warm", "more": ()}
    one = Broken(
        Item("recipe", 7), "Custard", "a rule", "mark", why=code, missing=Missing(Reason(code, params), "recipe")
    )
    assert verdict_words(one).startswith("how it cools is not settled. ")
    assert "made hot" not in verdict_words(one)


def test_a_refusal_for_a_batch_names_what_would_meet_the_rule() -> None:
    batch_kitchen_make()
    quote, owner = drafted(), signed_in("owner")
    for address in ("quote-send", "quote-cooling"):
        page = owner.get(reverse(address, args=[quote.pk])).content.decode()
        assert "This would meet the rule: Made in 5 batches" in page, address


def test_vessels_at_hand_are_named_before_batches_one_after_the_other() -> None:
    batch_kitchen_make()
    Vessel.objects.update(owned=12)
    catalog_changed()
    quote = drafted()
    ruled = ruled_now(quote)
    (one,) = (one for one in ruled.broken if one.item.kind == "recipe")
    assert "Divide it over " in unrecorded_sentence(ruled, one)
    assert " deep. Or record what is measured instead" in unrecorded_sentence(ruled, one)


class TestReadingsDue:
    """Whoever records what is measured instead reads when that is, and whether anybody is there."""

    def pages(self, quote: Quote) -> list[str]:
        owner = signed_in("owner")
        addresses = [reverse(name, args=[quote.pk]) for name in ("quote-cooling", "quote-send")]
        return [" ".join(owner.get(address).content.decode().split()) for address in addresses]

    def test_form_and_review_say_the_hours_and_which_nobody_works_in(self) -> None:
        cooling_kitchen_make(**DEEP)
        quote = drafted()
        override_make(quote)
        for page in self.pages(quote):
            due = page.partition("Read after “Bake”: ")[2].partition("<")[0]
            assert re.search(r"70 °F by \w+, \w+ \d+, \d{4}, \d+:\d\d [AP]M", due), page
            assert "41 °F by " in due
            assert due.lower().count("outside working hours") <= 1

    def test_what_is_due_at_night_says_so(self) -> None:
        cooling_kitchen_make(**DEEP)
        # Whatever leaves the oven is read two and six hours later: by then everybody has gone home.
        OpenHours.objects.update(opens="09:00", closes="10:30")
        catalog_changed()
        quote = drafted()
        override_make(quote)
        for page in self.pages(quote):
            due = page.partition("Read after “Bake”: ")[2].partition("<")[0]
            assert due.lower().count("outside working hours") == 1
            assert re.search(r"Outside working hours: .*; .*\. Choose who measures then, or start earlier\.", due), due

    def test_without_working_hours_it_says_within_how_long(self) -> None:
        cooling_kitchen_make(**DEEP)
        OpenHours.objects.all().delete()
        catalog_changed()
        quote = drafted()
        override_make(quote)
        for page in self.pages(quote):
            assert "Read after “Bake”: 70 °F within 2 h; 41 °F within 6 h." in page

    def test_a_time_that_is_past_says_so_and_asks_for_no_earlier_start(self) -> None:
        kitchen_make()
        past = timezone.now() - timedelta(hours=2)
        due = ReadingDue(21.1, 120, (past,), outside=frozenset([past]))
        with display.kitchen_display(Kitchen.objects.get()):
            words = due_words([ReadingTimes("Bake", (due,))])
        assert words.endswith("This time is past: the date cannot be kept as planned.")
        assert "start earlier" not in words
