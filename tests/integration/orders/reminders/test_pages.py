"""The owner's pages of reminders, their texts with checked fields, and the mails that confirm a payment."""

from datetime import timedelta
from typing import Any

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from orders.inquiries.models import Customer
from orders.invoices.payments import payment_reverse
from orders.reminders.claims import sentences_to_read
from orders.reminders.kinds import KINDS
from orders.reminders.models import Reminder, ReminderRule, ReminderSettings, ThingsOut
from orders.reminders.selectors import plan_now, plan_version, planned, text_version
from orders.reminders.services import reminders_round, reminders_save
from orders.reminders.words import usual_subject, usual_text
from tests.factories import BY, NOW, kitchen_make, sent_make, user_make
from tests.integration.orders.builders import LATER, order_make, pay

pytestmark = pytest.mark.django_db
USUAL = {code: (True, kind.days) for code, kind in KINDS.items()}


@pytest.fixture(autouse=True)
def kitchen() -> Kitchen:
    return kitchen_make()


@pytest.fixture(autouse=True)
def _now(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW + timedelta(hours=1))


@pytest.fixture
def owner(client: Client) -> Client:
    client.force_login(user_make())
    return client


def page_of(owner: Client, name: str, *args: Any, status: int = 200, **data: Any) -> str:
    answer = owner.post(reverse(name, args=args), data, follow=True) if data else owner.get(reverse(name, args=args))
    assert answer.status_code == status
    return " ".join(answer.content.decode().split())


def settings_sent(**changed: Any) -> dict[str, Any]:
    sent: dict[str, Any] = {"on": "on", "hour": "9", "version": plan_version(plan_now())}
    for code, kind in KINDS.items():
        sent |= {f"{code}_on": "on", f"{code}_days": str(kind.days)}
    return {**sent, **changed}


def text_sent(kind: str, **changed: Any) -> dict[str, Any]:
    version = text_version(plan_now().rules[kind])
    return {"subject": usual_subject(kind), "text": usual_text(kind), "version": version, **changed}


def test_the_first_page_says_that_nothing_is_sent_and_what_would_be(owner: Client) -> None:
    quote = sent_make()
    page = page_of(owner, "reminders")
    assert "Reminders are off: nothing is sent." in page
    assert "What would go out" in page
    assert quote.number in page
    assert "Quote about to expire" in page
    assert 'value="send"' not in page


def test_the_owner_switches_them_on_and_sees_what_goes_out_next(owner: Client) -> None:
    quote = sent_make()
    page = page_of(owner, "reminders-settings", **settings_sent(validity_days="4", hour="10"))
    assert "The reminders are saved." in page
    assert "What goes out next" in page
    saved = ReminderSettings.objects.get()
    assert (saved.on, saved.hour, saved.changed_by) == (True, 10, BY)
    assert ReminderRule.objects.get(kind="validity").days == 4
    line = page_of(owner, "quote", quote.pk)
    assert "Next reminder: quote about to expire" in line
    page = page_of(owner, "reminder-skip", "validity", quote.pk, x="1")
    assert "This reminder is left out." in page
    assert "Left out." in page
    assert "No reminder is planned." in page_of(owner, "quote", quote.pk)


@pytest.mark.parametrize("days", ["-1", "61", "soon", ""])
def test_days_that_are_none_are_refused_and_stay_entered(owner: Client, days: str) -> None:
    answer = owner.post(reverse("reminders-settings"), settings_sent(validity_days=days))
    assert not ReminderSettings.objects.exists()
    assert f'value="{days}"' in answer.content.decode() or not days
    assert 'aria-invalid="true"' in answer.content.decode()


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"text": "Dear {custmer}"}, "There is no field {custmer} here. Fields: {customer}, {event}"),
        ({"text": "Dear {amount}"}, "There is no field {amount} here."),
        ({"text": "Dear {customer, your quote"}, "A brace is missing near “Dear {customer, your”."),
        ({"subject": "customer} {event}"}, "A brace is missing near"),
        ({"text": "  "}, "Enter the text of the e-mail."),
    ],
)
def test_a_text_with_an_unknown_field_or_a_missing_brace_is_refused(
    owner: Client, changed: dict[str, str], sentence: str
) -> None:
    page = page_of(owner, "reminder-text", "validity", status=422, **text_sent("validity", **changed))
    assert sentence in page
    assert not ReminderRule.objects.exists()


def test_a_text_of_the_owners_is_previewed_with_a_real_quote_saved_and_sent(owner: Client) -> None:
    quote = sent_make()
    own = text_sent("validity", subject="About {event}", text="Hello {customer},\n\n{number} ends {day}. <b>")
    page = page_of(owner, "reminder-text", "validity", preview="1", **own)
    assert "About Wedding of Ida and Jonas" in page
    assert f"{quote.number} ends " in page
    assert "&lt;b&gt;" in page
    assert not ReminderRule.objects.exists()
    assert "The text is saved." in page_of(owner, "reminder-text", "validity", **own)
    reminders_save(on=True, hour=9, rules=USUAL, by=BY, at=NOW)
    (one,) = [one for one in planned(at=NOW) if one.due.kind.code == "validity"]
    reminders_round(at=one.moment)
    assert outbox_run(row_id=Outbox.objects.get(kind="reminder").pk, at=one.moment)
    assert mail.outbox[-1].subject == "About Wedding of Ida and Jonas"
    assert "Hello Ida Fenwick," in mail.outbox[-1].body
    assert "Taken by the mail server" in page_of(owner, "reminders")


def test_the_usual_text_is_stored_as_none_so_that_it_follows_the_language(owner: Client) -> None:
    page_of(owner, "reminder-text", "validity", **text_sent("validity"))
    assert ReminderRule.objects.get(kind="validity").text == ""


@pytest.mark.parametrize("kind", KINDS)
def test_the_usual_texts_pass_the_nets_for_claims(kind: str) -> None:
    assert sentences_to_read(usual_subject(kind)) == ()
    assert sentences_to_read(usual_text(kind)) == ()


def test_a_text_that_claims_is_refused_and_one_that_may_speak_of_guests_is_asked_about(owner: Client) -> None:
    claims = text_sent("validity", text="Everything we make is nut-free.")
    page = page_of(owner, "reminder-text", "validity", **claims, status=422)
    assert "Customers rely on it." in page
    spoken = text_sent("validity", text="All of our cakes are fine for every guest with an allergy.")
    page = page_of(owner, "reminder-text", "validity", **spoken, status=422)
    assert 'name="read"' in page or "Customers rely on it." in page
    assert not ReminderRule.objects.exclude(text="").exists()


def test_a_quotes_page_stops_and_resumes_and_an_orders_notes_what_to_return(owner: Client) -> None:
    reminders_save(on=True, hour=9, rules=USUAL, by=BY, at=NOW)
    order = order_make()
    page = page_of(owner, "quote-reminders", order.quote_id)
    assert "Deposit due" in page
    page = page_of(owner, "quote-reminders-stop", order.quote_id, what="stop")
    assert "Reminders are stopped here." in page
    assert "Resume reminders here" in page
    assert "Reminders are stopped here." in page_of(owner, "order", order.pk)
    assert "Stop reminders here" in page_of(owner, "quote-reminders-stop", order.quote_id, what="resume")
    version = owner.get(reverse("quote-reminders", args=[order.quote_id])).context["edit"].version
    page_of(owner, "quote-reminders", order.quote_id, things="2 cake stands", version=version)
    assert ThingsOut.objects.get().things == "2 cake stands"


def test_the_owner_decides_about_what_was_held_back(owner: Client) -> None:
    reminders_save(on=True, hour=9, rules=USUAL, by=BY, at=NOW)
    quote = sent_make()
    (one,) = [one for one in planned(at=NOW) if one.due.kind.code == "validity"]
    facts = {"number": quote.number, "outcome": "unsure", "asked_at": NOW}
    held = Reminder.objects.create(kind="validity", document="quote", document_pk=quote.pk, day=one.due.day, **facts)
    assert "You decide" in page_of(owner, "reminders")
    page = page_of(owner, "reminder-decide", held.pk, what="send")
    assert "You decide" not in page
    assert Outbox.objects.filter(kind="reminder").count() == 1
    assert "This was decided already." in page_of(owner, "reminder-decide", held.pk, what="drop")


def test_a_payment_is_confirmed_where_that_is_chosen_and_not_once_it_was_reversed() -> None:
    order = order_make()
    pay(order, 2_000, "deposit")
    assert not Outbox.objects.filter(kind="payment_mail").exists()
    pay(order, 2_000, "deposit", confirm=True)
    row = Outbox.objects.get(kind="payment_mail")
    assert outbox_run(row_id=row.pk, at=LATER)
    (message,) = mail.outbox[-1:]
    assert message.to == ["ida@fenwick.example"]
    assert "We received your deposit of $20.00" in message.body
    assert f"Left to pay: ${(order.total_minor - 4_000) / 100:,.2f}" in message.body
    paid = pay(order, 3_000, confirm=True)
    payment_reverse(payment_id=paid.pk, note="Wrong order.", by=BY, at=LATER)
    sent = len(mail.outbox)
    assert outbox_run(row_id=Outbox.objects.filter(kind="payment_mail").latest("pk").pk, at=LATER)
    assert len(mail.outbox) == sent


def test_a_payment_sent_twice_is_confirmed_once() -> None:
    order = order_make()
    for _ in range(2):
        pay(order, 2_000, confirm=True, idempotency_key="the-same")
    assert Outbox.objects.filter(kind="payment_mail").count() == 1


def test_the_form_of_a_payment_offers_it_where_there_is_an_address(owner: Client) -> None:
    order = order_make()
    assert "Confirm it to the customer by e-mail" in page_of(owner, "order-pay", order.pk)
    Customer.objects.filter(pk=order.customer_id).update(email="")
    assert "Confirm it to the customer" not in page_of(owner, "order-pay", order.pk)
    pay(order, 2_000, confirm=True)
    assert not Outbox.objects.filter(kind="payment_mail").exists()
