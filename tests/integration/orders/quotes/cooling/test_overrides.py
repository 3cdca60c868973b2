"""What breaks the cooling rule is neither sent nor approved before it is recorded what is measured instead."""

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.selectors import cold_times
from catalog.outbox.models import Outbox
from catalog.products.models import Product, ProductStep
from catalog.recipes.models import Step
from catalog.records.errors import Overtaken
from orders.approvals.services import quote_record_approval
from orders.orders.models import Order
from orders.personal_data.services import subject_erase
from orders.quotes.cooling.selectors import Item, broken, overrides_version, ruled_now, table_units
from orders.quotes.cooling.services import OverrideData, cooling_overrides_record
from orders.quotes.models import CoolingOverride, Quote
from orders.quotes.send.services import quote_revise, quote_withdraw
from orders.records.cooling_errors import (
    HourNotInTime,
    MeasureMissing,
    MeasurerMissing,
    NamesNobody,
)
from orders.records.errors import (
    ChangedMeanwhile,
    CoolingRuleBroken,
    KitchenMustCheck,
    NeverColdByNow,
    QuoteOver,
)
from orders.records.models import AuditEntry
from orders.records.states import QuoteStatus
from tests.cooling_kitchen import DEEP, MEASURED, cooling_kitchen_make, measuring, override_make
from tests.factories import BY, NOW
from tests.integration.orders.quotes.cooling.drafts import (
    SOON,
    TART,
    approve,
    cold_room_at,
    drafted,
    send,
    sent_measured,
    sent_shallow,
    tart_deep,
)
from tests.integration.orders.register.test_register import signed_in
from tests.refusals import refused

pytestmark = pytest.mark.django_db


class TestSending:
    def test_a_broken_rule_is_refused_until_it_is_recorded_what_is_measured_instead_and_by_whom(self) -> None:
        cooling_kitchen_make(**DEEP)
        quote = drafted()
        with refused(
            CoolingRuleBroken, match="^Custard tart, 10 cm: not cold in the time the rule asks for, or hot and "
        ):
            send(quote)
        quote.refresh_from_db()
        assert quote.status == QuoteStatus.DRAFT
        override_make(quote)
        assert send(quote).status == QuoteStatus.SENT

    def test_another_number_of_loads_is_asked_about_again(self) -> None:
        """What was recorded for one load stood for ten, which fall due at night."""
        cooling_kitchen_make(**DEEP)
        Product.objects.filter(code=TART).update(load=24)
        catalog_changed()
        quote = drafted()
        override_make(quote)
        assert not ruled_now(quote).unrecorded
        quote.lines.update(units=40)
        assert [one.parts for one in ruled_now(quote).unrecorded] == [2]

    def test_it_is_stored_with_who_and_when_and_stands_in_the_history(self) -> None:
        tart = cooling_kitchen_make(**DEEP)
        quote = drafted()
        override_make(quote)
        row = quote.cooling_overrides.get()
        assert (row.product, row.recipe, row.measured, row.measured_by) == (tart, None, MEASURED, "Tomas")
        assert (row.recorded_by, row.recorded_at) == (BY, NOW)
        assert row.rule.startswith("United States, cooked food")
        entry = AuditEntry.objects.get(document="quote", document_pk=quote.pk, event="measure_instead")
        assert (entry.by, entry.at, entry.note) == (BY, NOW, MEASURED)
        chosen = {"what": "piece", "hours": ["2", "6"], "too_warm": "discard"}
        assert entry.params == {"item": "Custard tart, 10 cm", "measured_by": "Tomas", "chosen": chosen}

    def test_a_table_that_keeps_the_rule_needs_nothing(self) -> None:
        cooling_kitchen_make(diameter_cm="12", height_cm="1.2")
        assert send(drafted()).status == QuoteStatus.SENT

    def test_a_product_that_asks_for_no_cooling_needs_nothing(self) -> None:
        cooling_kitchen_make(**DEEP)
        assert send(drafted("rice-glass")).status == QuoteStatus.SENT

    def test_a_rule_that_is_broken_between_looking_and_sending_is_refused_in_words(self) -> None:
        cooling_kitchen_make(**DEEP | {"diameter_cm": "12", "height_cm": "1.2"})
        quote, client = drafted(), signed_in("owner")
        page = client.get(reverse("quote-send", args=[quote.pk]))
        assert page.context["check"].may_go or page.context["check"].refusals
        tart_deep("7.5")
        with refused(CoolingRuleBroken, match="not cold in the time the rule asks for"):
            send(quote)

    @pytest.mark.parametrize("change", ["steps", "verdict"])
    def test_what_was_recorded_for_other_steps_or_another_verdict_does_not_count(self, change: str) -> None:
        tart = cooling_kitchen_make(**DEEP)
        quote = drafted()
        override_make(quote)
        if change == "steps":
            ProductStep.objects.filter(product=tart, kind=Step.Kind.REST).update(minutes=90)
            catalog_changed()
        else:
            tart_deep("8")
        with refused(CoolingRuleBroken, match="not cold in the time"):
            send(quote)
        override_make(quote)
        send(quote)
        assert quote.cooling_overrides.count() == 2

    def test_a_note_beside_a_step_changes_nothing(self) -> None:
        tart = cooling_kitchen_make(**DEEP)
        quote = drafted()
        override_make(quote)
        ProductStep.objects.filter(product=tart).update(text="On the top shelf.")
        catalog_changed()
        assert send(quote).status == QuoteStatus.SENT


class TestRecording:
    def data(self, quote: Quote, *hours: str, **facts: str) -> OverrideData:
        (one,) = ruled_now(quote).broken
        return OverrideData(one.item, measuring(*hours, **facts))

    def record(self, quote: Quote, data: OverrideData, **facts: Any) -> None:
        cooling_overrides_record(quote_id=quote.pk, overrides=[data], by=BY, at=NOW, **facts)

    def test_what_is_not_chosen_is_refused_and_names_the_field(self) -> None:
        cooling_kitchen_make(**DEEP)
        quote = drafted()
        with refused(MeasureMissing, match="Choose what is measured instead for Custard tart, 10 cm") as found:
            self.record(quote, self.data(quote, what=""))
        assert found.value.place.endswith("-what")
        with refused(MeasurerMissing, match="Choose who measures Custard tart, 10 cm."):
            self.record(quote, self.data(quote, who=" "))
        assert not CoolingOverride.objects.exists()

    @pytest.mark.parametrize("who", ["nobody", "x", "the dog", "by the dog", "looks fine"])
    def test_who_measures_has_a_name(self, who: str) -> None:
        cooling_kitchen_make(**DEEP)
        quote = drafted()
        with refused(NamesNobody, match=f"Measured by: “{who}” names nobody"):
            self.record(quote, self.data(quote, who=who))

    @pytest.mark.parametrize("hours", [("2.1", "6"), ("2", "7"), ("0", "6"), ("-1", "6"), ("2",)])
    def test_each_limit_is_read_within_its_time(self, hours: tuple[str, ...]) -> None:
        cooling_kitchen_make(**DEEP)
        quote = drafted()
        with refused(HourNotInTime, match="Custard tart, 10 cm: enter after how many hours it is read for .*at most."):
            self.record(quote, self.data(quote, *hours))

    @pytest.mark.parametrize("what", ["piece", "vessel", "logger"])
    def test_the_longest_record_fits(self, what: str) -> None:
        cooling_kitchen_make(**DEEP)
        quote = drafted()
        self.record(quote, self.data(quote, "1.99", "5.99", what=what, too_warm="reheat", who="x" * 80))
        quote.cooling_overrides.get().full_clean()

    def test_what_breaks_no_rule_is_refused(self) -> None:
        cooling_kitchen_make(**DEEP)
        quote = drafted()
        with refused(ChangedMeanwhile, match="changed in the meantime"):
            self.record(quote, OverrideData(Item("product", 99_999), measuring()))

    def test_the_same_again_writes_nothing(self) -> None:
        cooling_kitchen_make(**DEEP)
        quote = drafted()
        override_make(quote)
        override_make(quote, at=SOON)
        assert quote.cooling_overrides.count() == 1
        override_make(quote, measured="Probe each hour")
        assert [row.measured for row in quote.cooling_overrides.all()] == [MEASURED, "Probe each hour"]

    def test_of_two_windows_the_second_is_stopped(self) -> None:
        cooling_kitchen_make(**DEEP)
        quote = drafted()
        opened = overrides_version(ruled_now(quote))
        override_make(quote)
        with pytest.raises(Overtaken):
            self.record(quote, self.data(quote, "1", "5"), version=opened)

    def test_a_verdict_that_changed_since_the_page_was_opened_stops_it_too(self) -> None:
        cooling_kitchen_make(**DEEP)
        quote = drafted()
        opened = overrides_version(ruled_now(quote))
        tart_deep("8")
        with pytest.raises(Overtaken):
            self.record(quote, self.data(quote), version=opened)

    def test_they_go_with_a_draft_when_its_customer_is_erased(self) -> None:
        cooling_kitchen_make(**DEEP)
        quote = drafted()
        override_make(quote)
        subject_erase(customer_id=quote.inquiry.customer_id, by=BY, at=SOON)
        assert not CoolingOverride.objects.exists()
        assert not Quote.objects.exists()

    def test_they_stay_with_a_quote_that_was_sent(self) -> None:
        cooling_kitchen_make(**DEEP)
        quote = drafted()
        override_make(quote)
        quote_withdraw(quote_id=send(quote).pk, by=BY, at=SOON)
        Outbox.objects.all().delete()
        subject_erase(customer_id=quote.inquiry.customer_id, by=BY, at=SOON)
        assert CoolingOverride.objects.get().measured == MEASURED

    def test_a_quote_that_came_to_nothing_takes_none(self) -> None:
        cooling_kitchen_make(**DEEP)
        quote = drafted()
        data = self.data(quote)
        quote_withdraw(quote_id=quote.pk, by=BY, at=NOW)
        with refused(QuoteOver, match="is withdrawn"):
            self.record(quote, data)


class TestRevision:
    def revised(self) -> Quote:
        cooling_kitchen_make(**DEEP)
        quote = drafted()
        override_make(quote)
        return quote_revise(quote_id=send(quote).pk, by=BY, at=SOON)

    def test_it_goes_along_to_the_next_revision_and_counts_while_nothing_changed(self) -> None:
        draft = self.revised()
        row = draft.cooling_overrides.get()
        assert (row.measured, row.measured_by, row.recorded_by, row.recorded_at) == (MEASURED, "Tomas", BY, NOW)
        assert send(draft).status == QuoteStatus.SENT

    def test_where_the_steps_changed_it_is_a_suggestion_to_confirm(self) -> None:
        draft = self.revised()
        tart_deep("8")
        with refused(CoolingRuleBroken, match="not cold"):
            send(draft)
        page = signed_in("owner").get(reverse("quote-cooling", args=[draft.pk])).content.decode()
        assert "<strong>Confirm.</strong> Its steps or its cooling changed since" in page
        assert MEASURED in page

    def test_the_latest_alone_goes_along(self) -> None:
        cooling_kitchen_make(**DEEP)
        quote = drafted()
        override_make(quote)
        override_make(quote, measured="Probe each hour")
        draft = quote_revise(quote_id=send(quote).pk, by=BY, at=SOON)
        assert [row.measured for row in draft.cooling_overrides.all()] == ["Probe each hour"]


class TestApproval:
    def test_a_rule_that_is_broken_after_sending_stops_the_customers_approval_in_words(self) -> None:
        quote = sent_shallow()
        tart_deep("7.5")
        with refused(KitchenMustCheck, match="^Nothing was approved: the kitchen first has to settle how some items"):
            approve(quote)
        assert not Order.objects.exists()
        override_make(quote)
        approve(quote)
        assert Order.objects.get().quote_id == quote.pk

    def test_it_stops_an_approval_that_the_owner_records(self) -> None:
        quote = sent_shallow()
        tart_deep("7.5")
        facts: dict[str, Any] = {"quote_id": quote.pk, "name": "Ida", "reason": "By phone", "by": BY, "at": SOON}
        with refused(CoolingRuleBroken, match="Record what is measured instead, and by whom, before Q-"):
            quote_record_approval(**facts)
        override_make(quote)
        quote_record_approval(**facts)

    def test_another_name_of_a_step_does_not_stop_the_customer_of_a_quote_with_an_override(self) -> None:
        sent = sent_measured()
        ProductStep.objects.filter(kind="chill").update(name="As grandmother did", text="slowly")
        catalog_changed()
        approve(sent)
        assert Order.objects.exists()

    def test_a_record_for_another_verdict_says_nothing_of_this_one(self) -> None:
        sent = sent_measured()
        tart_deep("8")
        with pytest.raises(KitchenMustCheck):
            approve(sent)
        assert not Order.objects.exists()

    def test_the_owner_reads_on_the_quotes_page_that_it_cannot_be_approved(self) -> None:
        quote = sent_shallow()
        client = signed_in("owner")
        assert "cannot be approved" not in client.get(reverse("quote", args=[quote.pk])).content.decode()
        tart_deep("7.5")
        page = client.get(reverse("quote", args=[quote.pk])).content.decode()
        assert "Until it is, the quote cannot be approved." in page
        assert reverse("quote-cooling", args=[quote.pk]) in page

    def test_the_owners_day_names_what_cannot_be_approved(self) -> None:
        quote = sent_shallow()
        link = reverse("quote-cooling", args=[quote.pk])
        client = signed_in("owner")
        assert link not in client.get(reverse("day")).content.decode()
        tart_deep("7.5")
        assert f'Cannot be approved: <a href="{link}">' in client.get(reverse("day")).content.decode()
        override_make(quote)
        assert link not in client.get(reverse("day")).content.decode()

    @pytest.mark.parametrize("measured", [False, True])
    def test_what_never_gets_cold_by_now_stops_the_customer_whatever_was_recorded(self, measured: bool) -> None:
        quote = sent_measured() if measured else sent_shallow()
        cold_room_at("10")
        with refused(KitchenMustCheck, match="^Nothing was approved: the kitchen first has to settle"):
            approve(quote)
        assert not Order.objects.exists()
        cold_room_at("3")
        approve(quote)
        assert Order.objects.exists()

    @pytest.mark.parametrize("measured", [False, True])
    def test_it_stops_an_approval_that_the_owner_records_in_words(self, measured: bool) -> None:
        quote = sent_measured() if measured else sent_shallow()
        cold_room_at("10")
        with refused(NeverColdByNow, match="^Custard tart, 10 cm: may never get cold where it chills.*does not help.$"):
            quote_record_approval(quote_id=quote.pk, name="Ida", reason="By phone", by=BY, at=SOON)

    def test_the_owner_reads_that_it_never_gets_cold_and_finds_no_field_that_would_allow_it(self) -> None:
        quote, client = sent_shallow(), signed_in("owner")
        cold_room_at("10")
        link = reverse("quote-cooling", args=[quote.pk])
        assert f'Cannot be approved: <a href="{link}">' in client.get(reverse("day")).content.decode()
        page = client.get(reverse("quote", args=[quote.pk])).content.decode()
        assert "Custard tart, 10 cm may never get to 41\xa0°F where it chills" in page
        assert "Until then, the quote cannot be approved." in page
        page = client.get(link).content.decode()
        assert "planning a measurement does not help" in page
        assert "Nothing on this table breaks" not in page
        assert "<textarea" not in page


class TestVerdicts:
    def test_verdicts_take_one_query_and_overrides_one_more(self) -> None:
        cooling_kitchen_make(**DEEP)
        quote = drafted(TART, "rice-glass", "quince-square")
        book, units = book_current(), table_units(quote)
        cold_times(units, book)
        with CaptureQueriesContext(
            connection,
        ) as queries:
            assert len(broken(units, book)) == 1
        assert len(queries) == 0
        with CaptureQueriesContext(connection) as queries:
            ruled_now(quote)
        assert len(queries) <= 3

    def test_what_never_gets_cold_is_no_matter_of_measuring(self) -> None:
        cooling_kitchen_make(air_c="4.5")
        quote = drafted()
        assert [one.never for one in broken({TART: 24}, book_current())] == [True]
        assert ruled_now(quote).broken == ()
