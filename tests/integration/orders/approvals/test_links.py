"""Private links: stored as a hash, moved into the session, refused alike; and access to private pages."""

import re
import secrets
from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth.models import Group, User
from django.core.cache import cache
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from catalog.outbox.models import Outbox
from catalog.web.access import BOOKKEEPER, KITCHEN, OWNER
from orders.approvals import links
from orders.approvals.link_views import GUESSES
from orders.approvals.links import READABLE_AFTER, link_ask, link_create, links_revoke
from orders.approvals.models import Approval, Link, Message
from orders.approvals.presenters import link_address
from orders.approvals.quote_page import quote_page
from orders.approvals.selectors import link_of, open_links, token_hash
from orders.orders.models import Order
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_revise
from orders.records.errors import LinkNeedsSentQuote
from orders.records.models import AuditEntry
from tests.databases import is_locked
from tests.factories import BY, approved_make, draft_make, kitchen_make, sent_make
from tests.refusals import refused
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db
NOW = timezone.now()
PAGES = ("quote-page", "quote-page-approve", "quote-page-change", "quote-page-decline", "quote-page-pdf")
AFTER_YES = ("quote-page-approved-pdf", "quote-page-calendar")


@pytest.fixture(autouse=True)
def fresh() -> Iterator[None]:
    kitchen_make()
    cache.clear()
    yield
    cache.clear()


def open_link(client: Client, quote: Quote, **headers: Any) -> Any:
    token = link_create(quote_id=quote.pk, at=timezone.now())
    return client.get(reverse("link-login", args=[token]), headers=headers)


def rows() -> list[int]:
    return [model.objects.count() for model in (Quote, Order, Approval, Message, Outbox, AuditEntry)]


def test_a_token_has_256_bits_and_only_its_hash_is_stored() -> None:
    quote = sent_make()
    tokens = {link_create(quote_id=quote.pk, at=NOW) for _ in range(3)}
    assert len(tokens) == 3
    assert all(re.fullmatch("[A-Za-z0-9_-]{43}", token) for token in tokens)
    assert all(link_address(token) == f"http://localhost:8000/q/{token}/" for token in tokens)
    stored = list(Link.objects.values())
    assert len(stored) == 3
    assert not any(token in str(stored) for token in tokens)
    assert all(link_of(token) is not None for token in tokens)


def test_a_link_lasts_beyond_the_answer_and_the_day_itself() -> None:
    quote = sent_make()
    link_create(quote_id=quote.pk, at=NOW)
    assert Link.objects.get().expires_at == quote.inquiry.window_end + READABLE_AFTER


def test_a_draft_has_no_link() -> None:
    with refused(LinkNeedsSentQuote, match="never sent"):
        link_create(quote_id=draft_make().pk, at=NOW)


def test_the_first_visit_swaps_the_token_into_the_session_and_leaves_it_behind(client: Client) -> None:
    quote = sent_make()
    answer = open_link(client, quote)
    assert (answer.status_code, answer["Location"]) == (302, f"/q/{quote.pk}/")
    assert answer["Referrer-Policy"] == "no-referrer"
    assert answer["Cache-Control"] == "private, no-store"
    page = client.get(answer["Location"])
    assert page.status_code == 200
    assert page["Cache-Control"] == "private, no-store"
    assert page["Referrer-Policy"] == "same-origin"
    assert "noindex" in page["X-Robots-Tag"]
    assert quote.inquiry.title in page.content.decode()


def test_the_session_gets_a_new_key_and_holds_no_token(client: Client) -> None:
    quote = sent_make()
    client.get("/sign-in")
    client.session.save()
    before = client.session.session_key
    open_link(client, quote)
    assert client.session.session_key != before
    assert client.session["quote_links"] == [Link.objects.latest("pk").pk]


def test_a_look_ahead_does_nothing(client: Client) -> None:
    quote = sent_make()
    token = link_create(quote_id=quote.pk, at=NOW)
    address = reverse("link-login", args=[token])
    assert client.head(address).status_code == 204
    assert client.get(address, headers={"Sec-Purpose": "prefetch;prerender"}).status_code == 204
    assert client.get(address, headers={"Purpose": "prefetch"}).status_code == 204
    assert Link.objects.get().first_opened_at is None
    assert "quote_links" not in client.session


def test_reading_changes_nothing_but_that_the_link_was_opened(client: Client) -> None:
    quote = approved_make()
    before = rows()
    open_link(client, quote)
    first = Link.objects.get().first_opened_at
    assert first is not None
    for name in (*PAGES, *AFTER_YES):
        for method in (client.get, client.head):
            method(reverse(name, args=[quote.pk]))
    open_link(client, quote)
    assert rows() == before
    assert Link.objects.earliest("pk").first_opened_at == first


@pytest.mark.parametrize("case", ["unknown", "revoked", "draft's page", "no session"])
def test_whatever_opens_nothing_looks_alike_from_outside(client: Client, case: str) -> None:
    quote = sent_make()
    token = link_create(quote_id=quote.pk, at=NOW)
    if case == "revoked":
        links_revoke(quote_id=quote.pk, by=BY, at=NOW)
    address = {
        "unknown": reverse("link-login", args=["y" * 43]),
        "revoked": reverse("link-login", args=[token]),
        "draft's page": reverse("quote-page", args=[draft_make().pk]),
        "no session": reverse("quote-page", args=[quote.pk]),
    }[case]
    answer = client.get(address)
    assert answer.status_code == 404
    other = client.get(reverse("quote-page", args=[999_999]))
    assert answer.content == other.content


def test_revoking_a_link_shuts_out_who_came_in_by_it(client: Client) -> None:
    quote = sent_make()
    open_link(client, quote)
    assert client.get(f"/q/{quote.pk}/").status_code == 200
    assert links_revoke(quote_id=quote.pk, by=BY, at=timezone.now()) == 1
    assert client.get(f"/q/{quote.pk}/").status_code == 404
    assert links_revoke(quote_id=quote.pk, by=BY, at=timezone.now()) == 0
    assert AuditEntry.objects.filter(event="close_links").count() == 1


def test_a_link_that_ran_out_explains_and_mails_a_fresh_one_to_the_customer(client: Client) -> None:
    quote = sent_make()
    token = secrets.token_urlsafe(32)
    Link.objects.create(
        quote=quote, token_sha256=token_hash(token), created_at=NOW, expires_at=NOW - timedelta(days=365)
    )
    answer = client.get(reverse("link-login", args=[token]))
    assert answer["Location"] == "/q/ran-out/"
    page = client.get("/q/ran-out/")
    assert page.status_code == 410
    assert token not in page.content.decode()
    assert "This link has expired" in page.content.decode()

    for _ in range(2):
        assert "on its way" in client.post("/q/ran-out/").content.decode()

    asked = Outbox.objects.filter(payload__mail="link_again")
    assert asked.count() == 1, "once an hour is enough"
    assert client.get(f"/q/{quote.pk}/").status_code == 404, "the old link still opens nothing"


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_two_who_ask_for_a_new_link_at_once_wait_for_each_other(monkeypatch: pytest.MonkeyPatch) -> None:
    kitchen_make()
    quote = sent_make()
    locked: list[bool] = []
    monkeypatch.setattr(links, "quote_mail_ask", lambda *_, **__: locked.append(is_locked("orders_quote")))
    assert link_ask(quote_id=quote.pk, at=NOW)
    assert locked == [True]


def test_a_fresh_link_is_asked_for_again_after_an_hour_but_never_without_an_address() -> None:
    quote = sent_make()
    assert link_ask(quote_id=quote.pk, at=NOW)
    assert not link_ask(quote_id=quote.pk, at=NOW + timedelta(minutes=59))
    assert link_ask(quote_id=quote.pk, at=NOW + timedelta(minutes=61))
    type(quote.inquiry.customer).objects.update(email="")
    assert not link_ask(quote_id=quote.pk, at=NOW + timedelta(days=1))


def test_guessing_is_slowed_down_and_a_right_link_always_opens(client: Client) -> None:
    quote = sent_make()
    for number in range(GUESSES.free):
        assert client.get(reverse("link-login", args=[f"{number:043d}"])).status_code == 404
    answer = client.get(reverse("link-login", args=["z" * 43]))
    assert answer.status_code == 429
    assert "the right link works at once" in answer.content.decode()
    token = link_create(quote_id=quote.pk, at=NOW)
    assert client.get(reverse("link-login", args=[token])).status_code == 302, "the same address, a right link"


def test_wrong_links_are_counted_for_all_processes_together(client: Client) -> None:
    for number in range(GUESSES.free):
        client.get(reverse("link-login", args=[f"{number:043d}"]))
    cache.clear()  # what another process has in memory
    assert client.get(reverse("link-login", args=["z" * 43])).status_code == 429
    assert client.get(reverse("link-login", args=["z" * 43]), REMOTE_ADDR="198.51.100.4").status_code == 404


def test_a_link_opens_the_newer_revision_too(client: Client) -> None:
    first = sent_make()
    open_link(client, first)
    second = quote_send_seen(quote_id=quote_revise(quote_id=first.pk, by=BY, at=NOW).pk, by=BY, at=NOW)
    page = client.get(f"/q/{first.pk}/").content.decode()
    assert "The kitchen changed this quote on" in page
    assert f'href="/q/{second.pk}/"' in page
    assert client.get(f"/q/{second.pk}/").status_code == 200


# Who may open which private page: route × actor

ACTORS: dict[str, bool] = {
    "holder of the link": True,
    "holder of another quote's link": False,
    "holder of a closed link": False,
    "stranger": False,
    OWNER: False,
    KITCHEN: False,
    BOOKKEEPER: False,
}


def _enter(client: Client, actor: str, quote: Quote) -> None:
    if actor in (OWNER, KITCHEN, BOOKKEEPER):
        user = User.objects.create_user(actor)
        user.groups.add(Group.objects.get_or_create(name=actor)[0])
        client.force_login(user)
    elif actor == "holder of another quote's link":
        open_link(client, sent_make())
    elif actor != "stranger":
        open_link(client, quote)
    if actor == "holder of a closed link":
        links_revoke(quote_id=quote.pk, by=BY, at=timezone.now())


@pytest.mark.parametrize("actor", ACTORS)
def test_private_pages_open_to_the_link_alone(client: Client, actor: str) -> None:
    waiting, approved = sent_make(), approved_make()
    for quote, names in ((waiting, PAGES), (approved, ("quote-page", *AFTER_YES))):
        _enter(client, actor, quote)
        for name in names:
            answer = client.get(reverse(name, args=[quote.pk]))
            body = answer.content.decode(errors="replace")
            if ACTORS[actor]:
                made_later = "is being made" in body
                assert answer.status_code == 200 or made_later, name
            else:
                assert answer.status_code == 404, name
                assert quote.inquiry.customer.name not in body
        client.logout()
        User.objects.all().delete()


@pytest.mark.parametrize("actor", [actor for actor, may in ACTORS.items() if not may])
def test_nobody_else_answers_for_the_customer(client: Client, actor: str) -> None:
    quote = sent_make()
    _enter(client, actor, quote)
    before = rows()
    for name in ("quote-page-approve", "quote-page-change", "quote-page-decline"):
        form = {"name": "Mallory", "content_sha256": quote.content_sha256, "text": "x", "reason": "x"}
        assert client.post(reverse(name, args=[quote.pk]), form).status_code == 404
    assert rows() == before


def test_an_answer_needs_the_forms_own_token(client: Client) -> None:
    quote = sent_make()
    strict = Client(enforce_csrf_checks=True)
    open_link(strict, quote)
    form = {"name": "Ida", "content_sha256": quote.content_sha256}
    assert strict.post(reverse("quote-page-approve", args=[quote.pk]), form).status_code == 403
    assert not Approval.objects.exists()


def test_a_quote_page_takes_the_same_queries_however_long(django_assert_num_queries: DjangoAssertNumQueries) -> None:
    quote = sent_make()
    link_create(quote_id=quote.pk, at=NOW)
    ids = [Link.objects.get().pk]

    def read() -> None:
        assert quote_page(quote_id=quote.pk, link_ids=ids, at=NOW) is not None

    counted: Callable[[int], Any] = django_assert_num_queries
    read()  # the Book is known afterwards; two queries more judge it by that, two read messages, three its time,
    # two what it is made together with
    with counted(15):
        read()


@pytest.mark.parametrize("ending", ["", "x", "/quote", "%3E", "."])
def test_a_link_cut_or_stained_on_its_way_says_to_open_the_mail_again(client: Client, ending: str) -> None:
    token = link_create(quote_id=sent_make().pk, at=timezone.now())
    cut = token[:-9] if not ending else token
    answer = client.get(f"/q/{cut}{ending}", follow=True)
    assert answer.status_code == 404
    assert "Open the link in the latest e-mail" in answer.content.decode()
    assert answer["X-Robots-Tag"].startswith("noindex")


def test_a_link_without_its_last_stroke_still_opens(client: Client) -> None:
    token = link_create(quote_id=sent_make().pk, at=timezone.now())
    assert client.get(f"/q/{token}", follow=True).status_code == 200


def test_a_link_opens_its_own_quote_while_it_is_neither_closed_nor_past_its_last_moment(
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    quote, other = sent_make(), sent_make()
    tokens = [link_create(quote_id=each.pk, at=NOW) for each in (quote, quote, other)]
    with django_assert_num_queries(3):
        valid, closed, foreign = (link_of(token) for token in tokens)
    assert valid is not None
    assert closed is not None
    assert foreign is not None
    with django_assert_num_queries(0):
        assert (valid.quote, foreign.quote) == (quote, other)
    Link.objects.filter(pk=closed.pk).update(revoked_at=NOW)
    ids = [valid.pk, closed.pk, foreign.pk]
    just_before = valid.expires_at - timedelta(seconds=1)
    assert open_links(ids, number=quote.number, at=just_before) == [valid]
    assert open_links(ids, number=quote.number, at=valid.expires_at) == []
    assert open_links([closed.pk], number=quote.number, at=just_before) == []
