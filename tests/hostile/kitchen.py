"""A kitchen with a row of everything, so that every form of the service is on some page; and who uses it."""

import io
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Final
from urllib.parse import urlsplit

from django.contrib.auth.models import User
from django.test import Client
from openpyxl import Workbook

from catalog.book.revision import catalog_changed
from catalog.kitchen.logo_services import logo_save
from catalog.kitchen.models import Kitchen, Vehicle
from catalog.kitchen.selectors import kitchen
from catalog.molds.models import Mold
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from catalog.pantry.models import Ingredient
from catalog.pictures.reader import picture_made
from catalog.pictures.services import NewPicture
from catalog.price_lists.imports import price_list_import
from catalog.price_lists.services import price_list_compare, price_list_upload
from catalog.products.models import Product
from catalog.products.picture_services import product_picture_save
from catalog.rates.models import Role, Station
from catalog.rates.selectors import OutData
from catalog.rates.services import station_out_add
from catalog.spreadsheets.imports import spreadsheet_import
from catalog.spreadsheets.models import Spreadsheet
from catalog.spreadsheets.services import spreadsheet_compare, spreadsheet_upload
from catalog.taxes.models import TaxCategory, TaxRate
from catalog.vessels.models import Vessel
from catalog.web.access import BOOKKEEPER, ROLES
from config.accounts.people import person_close
from orders.approvals.links import link_create
from orders.approvals.messages import approval_held
from orders.approvals.models import Approval
from orders.approvals.presenters import link_address
from orders.approvals.services import ApprovalEvidence, quote_ask_change
from orders.cooling_log.breaches import BREACHED
from orders.documents.store import document_add
from orders.inquiries.models import Customer
from orders.inquiries.services import inquiry_close
from orders.invoices.models import Invoice
from orders.invoices.services import invoice_draft
from orders.orders.models import Order
from orders.orders.services import order_deliver
from orders.personal_data.file_services import subject_file_ask
from orders.planning.models import KitchenPlan
from orders.planning.reserved import PLAN_KEY
from orders.production.file_services import procedure_file_ask
from orders.quotes.draft.dessert_table import DessertTable
from orders.quotes.models import Quote
from orders.records.actors import CLOCK
from orders.records.transitions import audit
from orders.register.forms import RegisterForm
from orders.register.paper_list import PaperMonth
from orders.register.paper_services import papers_file_ask
from orders.register.services import export_make, register_file_ask
from orders.reminders.kinds import KINDS
from orders.reminders.models import Reminder
from orders.reminders.services import reminders_save
from tests.cooling_kitchen import DEEP, cooling_steps_make
from tests.factories import BY, draft_make, inquiry_make, kitchen_make, line_make, sent_make, table_make, user_make
from tests.integration.config.accounts.people import second_factor_make
from tests.integration.orders.amending import amend
from tests.integration.orders.builders import LATER, credit, invoice_make, order_make, pay
from tests.pictures import drawn, file_of
from tests.starting import order_start

#: When the requests are sent.
MOMENT: Final = LATER + timedelta(days=1)


def filled() -> dict[str, Client]:
    """Fill the database; return a client for each actor."""
    kitchen_make()
    _rows_nobody_uses()
    _pictures()
    return _clients(_documents())


def _rows_nobody_uses() -> None:
    """Make what can be deleted: the small kitchen uses everything it has."""
    Role.objects.create(code="washer", name="Washer", hourly=Decimal(18), position=9)
    rack = Station.objects.create(code="rack", name="Rack", kind=Station.Kind.RACK, position=9)
    out = OutData(date(2027, 3, 1), time(0), date(2027, 3, 3), time(0), reason="service")
    station_out_add(station_id=rack.pk, data=out)
    Vehicle.objects.create(name="White van")
    Product.objects.filter(code="quince-square").update(usual_pieces=2)
    Mold.objects.create(name="Fluted tin", diameter_cm=Decimal(20), height_cm=Decimal(4))
    Vessel.objects.create(name="Tub", diameter_cm=Decimal(20), height_cm=Decimal(10))
    tax = TaxCategory.objects.create(code="books", name="Books", position=9)
    for starts in (date(2026, 1, 1), date(2028, 1, 1)):
        TaxRate.objects.create(category=tax, rate=Decimal("0.02"), starts=starts)


def _pictures() -> None:
    """Give a product its photograph and the kitchen its logo, each with one from before."""
    product = Product.objects.get(code="quince-square").pk
    for width in (400, 500):
        photo = NewPicture(picture_made("photo", file_of(drawn(width))), "", "Squares of quince")
        product_picture_save(product_id=product, new=photo, drawing="", version="", by=BY, at=MOMENT)
        emblem = NewPicture(picture_made("logo", file_of(drawn(width), "PNG")), "", "A sprig")
        logo_save(new=emblem, has_name=False, version="", by=BY, at=MOMENT)


def _documents() -> list[str]:
    """Make documents in every status; return the addresses of a customer's private links."""
    soon = MOMENT + timedelta(days=40)
    # Early, so that its page is among those of a view that are walked.
    inquiry_close(inquiry_id=inquiry_make(at=MOMENT).pk, reason="No budget", by=BY, at=MOMENT)
    inquiry_make(at=MOMENT)
    draft_make(at=MOMENT, window_start=soon)
    draft_make(at=MOMENT, window_start=soon, table=table_make(discount=Decimal("0.6")))
    sent = sent_make(at=MOMENT, window_start=soon)
    _filed(Quote, sent.pk)
    # Its day is kept, so that it can be released.
    KitchenPlan.objects.create(pk=PLAN_KEY, reserved=[sent.pk])
    # What changes below in the catalog stops the other one: this one can be approved.
    squares = table_make(lines=(line_make("quince-square", 60),))
    quiet = sent_make(at=MOMENT, window_start=soon, table=squares, allergies=(), asked_none=True)
    _filed(Quote, quiet.pk)
    # What the service wrote is only read: nobody states anything of it.
    approval_held(quote_id=sent.pk, name="Ida", words="Ida wanted to approve.", reasons=(), at=MOMENT)
    quote_ask_change(quote_id=sent.pk, text="Could it be 90 tarts?", evidence=ApprovalEvidence(), at=MOMENT)
    quote_ask_change(quote_id=sent.pk, text="My aunt is allergic to kiwi.", evidence=ApprovalEvidence(), at=MOMENT)
    _orders()
    export_make(first_day=date(2027, 1, 1), last_day=date(2027, 2, 1), currency="USD", by=BY, at=LATER)
    assert outbox_run(row_id=Outbox.objects.get(kind="export_files").pk, at=LATER)
    _reminders()
    _prepared_files()
    _price_lists(MOMENT)
    _spreadsheets(MOMENT)
    _warm_for_too_long()
    _with_peanuts()
    draft_make(table=_rice())  # nothing stops it, so other times to offer are looked for
    # Of an order with an invoice, which its customer takes along.
    approved = Approval.objects.get(quote=Invoice.objects.earliest("pk").order.quote_id)
    _filed(Approval, approved.pk)
    _filed(Quote, approved.quote_id)
    return [link_address(link_create(quote_id=pk, at=MOMENT)) for pk in (approved.quote_id, sent.pk, quiet.pk)]


def _warm_for_too_long() -> None:
    """Let a product that drafts, quotes and orders have break its cooling rule, so that it asks to be measured."""
    cooling_steps_make(**DEEP)


def _with_peanuts() -> None:
    """Let a dessert of orders contain what their customers were not told."""
    Ingredient.objects.filter(code="walnut").update(allergens=["walnuts", "peanuts"])
    catalog_changed()


def _broken_and_mended(order: Order) -> None:
    """Note that an edit broke the cooling rule of an order's dessert for a while."""
    product = Product.objects.get(code="quince-square")
    about = {"kind": "product", "pk": product.pk, "name": product.name, "why": "", "parts": 1, "recipe": ""}
    audit(order, BREACHED, by=CLOCK, at=LATER, params={"items": [about]})


def _rice() -> DessertTable:
    """A table of the dessert that nothing is wrong with."""
    return table_make(lines=(line_make("rice-glass", 72),), extras=())


def _orders() -> None:
    """Make an order for each thing that can be done with one."""
    _broken_and_mended(order_make())
    billed = order_make()
    pay(billed, 5000)
    credit(invoice_make(billed))
    open_one = order_make()
    pay(open_one, 2000)
    invoice_make(open_one)
    invoice_draft(order_id=order_make().pk, by=BY, at=LATER)
    order_start(order_id=order_make().pk, by=BY, at=LATER)
    # Changed after its invoice, so that there is something to credit; nothing else is to be done first.
    changed = order_make(table=_rice())
    invoice_make(changed)
    line = changed.lines.select_related("product").order_by("position")[0]
    amend(changed, {line.product.code: line.units - 12}, at=LATER)
    order_deliver(order_id=order_make().pk, by=BY, at=LATER)
    # One that is canceled by a table, beside those without.
    Kitchen.objects.update(cancellation_table=[{"days": 60, "share": "0.5"}])
    order_make()
    Kitchen.objects.update(cancellation_table=[])


def _reminders() -> None:
    """Switch reminders on, with one that the owner decides about."""
    rules = {code: (True, kind.days) for code, kind in KINDS.items()}
    reminders_save(on=True, hour=9, rules=rules, by=BY, at=MOMENT)
    order = Order.objects.latest("pk")
    facts = {"number": order.quote.number, "outcome": "missed", "asked_at": MOMENT}
    Reminder.objects.create(kind="final_count", document="order", document_pk=order.pk, day=MOMENT.date(), **facts)


def _prepared_files() -> None:
    """Ask for a file of each kind, and write it."""
    shown = RegisterForm({}, kitchen=kitchen())
    shown.is_valid()
    register_file_ask(chosen=shown.chosen(), today=MOMENT.date(), by=BY, at=LATER)
    subject_file_ask(customer_id=Customer.objects.earliest("pk").pk, by=BY, at=LATER)
    procedure_file_ask(by=BY, at=LATER)
    papers_file_ask(PaperMonth(MOMENT.date().replace(day=1)), by=BY, at=LATER)
    for kind in ("register_file", "papers_file", "subject_file", "procedure_file"):
        assert outbox_run(row_id=Outbox.objects.get(kind=kind).pk, at=LATER)


def _filed(table: type[Quote] | type[Approval], pk: int) -> None:
    """Store a file where a document's PDF would be; to make a true one takes seconds."""
    document = document_add(b"%PDF-1.7", file_name="quote.pdf", media_type="application/pdf", at=MOMENT)
    table._default_manager.filter(pk=pk, pdf=None).update(pdf=document)


def _price_lists(at: datetime) -> None:
    bodies = (
        b"item,pack,price\nButter,1 lb,4.10\n",
        b"item,pack,price\nsugar,50 lb,31\nSaffron,1 oz,48\nThyme,1 oz,4\n",
        b"nothing",
        b"item,pack,price\nButter,36 lb,110\n",
    )
    for body in bodies:
        made = price_list_upload(
            supplier="Quayside", file_name="prices.csv", body=body, starts=date(2027, 3, 1), by=BY, at=at
        )
        price_list_compare(price_list_id=made.pk)
    price_list_import(price_list_id=made.pk, by=BY, at=at)


def _spreadsheets(at: datetime) -> None:
    bodies = (
        ("recipes", b"Recipe,Amount,Ingredient\nPraline,90 g,Butter\nGlaze,8 oz,Milk\nGlaze,,Butter\n"),
        ("ingredients", b"Ingredient,Pack,Price\nIsomalt,1 kg,9\nButter,1 kg,\nTITLE,,\n"),
        ("customers", b"Name,E-mail\nIda Holm,ida@holm.example\nNo mail,nothing\n"),
        ("recipes", b"nothing"),
        ("products", b"Product,Category,Price\nSlice,Squares,4.50\n"),
    )
    for holds, body in bodies:
        made = spreadsheet_upload(holds=holds, file_name="mine.csv", body=body, by=BY, at=at)
        spreadsheet_compare(spreadsheet_id=made.pk)
    book, out = Workbook(), io.BytesIO()
    book.create_sheet("Cover")
    for row in (["Recipe", "Amount", "Ingredient"], ["Crumb", "1 lb", "Butter"]):
        book.worksheets[0].append(row)
    book.save(out)
    made = spreadsheet_upload(holds="recipes", file_name="mine.xlsx", body=out.getvalue(), by=BY, at=at)
    spreadsheet_compare(spreadsheet_id=made.pk)
    ready = Spreadsheet.objects.get(holds="ingredients")
    spreadsheet_import(spreadsheet_id=ready.pk, by=BY, at=at)


def _clients(links: list[str]) -> dict[str, Client]:
    clients = {"nobody": Client(), "customer": Client(), "stranger with a form": Client(enforce_csrf_checks=True)}
    for role in ROLES:
        clients[role] = Client()
        clients[role].force_login(user_make(role, f"{role} person"))
    clients["superuser"] = Client()
    clients["superuser"].force_login(User.objects.create_superuser("root person"))
    # Somebody whose two-step sign-in the owner can reset.
    second_factor_make(user_make(BOOKKEEPER, "person with a phone"), at=MOMENT)
    person_close(user=user_make(BOOKKEEPER, "person who has left"), by=BY, at=MOMENT)
    for link in links:
        clients["customer"].get(urlsplit(link).path)
    for client in clients.values():
        client.raise_request_exception = False
    return clients
