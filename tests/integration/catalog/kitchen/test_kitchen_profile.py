"""The owner sets the kitchen up, and changes its profile and hours."""

import re
from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse

from catalog.kitchen.forms import ProfileForm
from catalog.kitchen.models import ClosedDay, Kitchen, OpenHours
from catalog.kitchen.services import profile_save
from catalog.kitchen.trace_words import CROSS_CONTACT
from catalog.pantry.models import Ingredient
from catalog.price_rules.customer_kinds import CUSTOMER_KINDS
from catalog.products.models import Product
from catalog.recipes.models import RecipeLine
from catalog.records.errors import CurrencyLocked
from catalog.taxes.models import TaxRate
from catalog.web.access import BOOKKEEPER, KITCHEN
from orders.inquiries.models import Customer
from tests import factories
from tests.integration.catalog.kitchen_addresses import urlpatterns
from tests.integration.catalog.kitchen_pages import PROFILE, calendar, shows, signed_in, text
from tests.integration.forms_on_pages import save_edit
from tests.refusals import refused

pytestmark = pytest.mark.django_db


def address(pattern):
    keys = {"pk": 1} if "<int:pk>" in str(pattern.pattern) else {}
    return reverse(pattern.name, kwargs=keys)


@pytest.mark.parametrize("role", [KITCHEN, BOOKKEEPER])
def test_the_kitchens_own_pages_are_the_owners(role):
    client = signed_in(role)
    for pattern in urlpatterns:
        assert client.get(address(pattern)).status_code == 403
        assert client.post(address(pattern)).status_code == 403


def test_who_is_not_signed_in_is_sent_to_the_sign_in_page(client):
    response = client.get(reverse("kitchen-taxes"))
    assert response.status_code == 302
    assert response.url.startswith(reverse("sign-in"))


def test_every_list_opens_before_anything_is_set_up():
    client = signed_in()
    for pattern in urlpatterns:
        if "<int:pk>" not in str(pattern.pattern) and pattern.name != "kitchen-overhead-rates":
            assert client.get(address(pattern)).status_code in (200, 302)


def test_without_a_kitchen_the_profile_offers_to_set_one_up_and_leads_on_to_the_figures():
    client = signed_in()
    page = client.get(reverse("kitchen-profile"))
    assert "Set up your kitchen" in text(page)
    assert not shows(page, "Your kitchen")
    response = save_edit(client, reverse("kitchen-profile"), PROFILE)
    assert response.url == reverse("first-figures")
    kitchen = Kitchen.objects.get()
    assert (kitchen.name, kitchen.price_step, kitchen.waste) == ("Tansy Row Desserts", Decimal("0.25"), Decimal("0.03"))
    assert kitchen.order_minimum == 1250


@pytest.mark.parametrize("name", ["kitchen-overhead", "kitchen-delivery"])
def test_pages_that_need_the_currency_send_one_to_set_the_kitchen_up(name):
    assert signed_in().get(reverse(name)).url == reverse("kitchen-profile")


def test_the_profile_comes_back_as_it_was_saved():
    client = signed_in()
    save_edit(client, reverse("kitchen-profile"), PROFILE | {"price_step": "0.1"})
    page = client.get(reverse("kitchen-profile"))
    for value in ("0.10", "1250.00", "40", "15", "3", "30"):
        assert shows(page, value)
    revision = Kitchen.objects.get().revision
    save_edit(client, reverse("kitchen-profile"), PROFILE)
    assert Kitchen.objects.get().revision == revision + 1


WRONG = [
    ("name", "", "Enter the kitchen's name."),
    ("email", "nobody", "Write “E-mail” as an e-mail address"),
    ("price_step", "0", "The price step must be more than 0."),
    ("price_step", "0.255", "Write the price step with at most 2 decimals"),
    ("price_step", "a quarter", "Write the price step as a number, such as 0.25."),
    ("order_minimum", "", "Enter the minimum order."),
    ("floor_margin", "100", "The floor margin must be 99 or less."),
    ("floor_margin", "-1", "The floor margin must be 0 or more."),
    ("deposit_share", "101", "The deposit must be 100 or less."),
    ("quote_valid_days", "0", "How long a quote is valid must be 1 or more."),
    ("quote_valid_days", "1.5", "as a whole number"),
    ("currency", "XXX", "Choose one of the offered entries for “Currency”"),
    ("time_zone", "Atlantis/Deep", "Choose one of the offered entries for “Time zone”"),
    ("locale", "xx_XX", "Choose one of the offered entries for “How figures are written”"),
    ("approve_button", "", "Enter the words on the approve button"),
    ("name", "x" * 121, "Shorten “Name of the kitchen” to 120 characters: it has 121."),
]


def test_a_deposit_is_no_more_than_the_payments_before_the_event_leave():
    client = signed_in()
    save_edit(client, reverse("kitchen-profile"), PROFILE)
    Kitchen.objects.update(payments_before=[{"days": 60, "share": "0.4"}, {"days": 14}])
    response = save_edit(client, reverse("kitchen-profile"), PROFILE | {"deposit_share": "60.5"})
    assert text(response).count("Enter at most 60, or change the payment schedule first.") == 2
    assert Kitchen.objects.get().deposit_share == Decimal("0.3")
    assert save_edit(client, reverse("kitchen-profile"), PROFILE | {"deposit_share": "60"}).status_code == 302
    # An amount counts instead of it.
    Kitchen.objects.update(deposit_minor=50000)
    assert save_edit(client, reverse("kitchen-profile"), PROFILE | {"deposit_share": "80"}).status_code == 302


@pytest.mark.parametrize(("field", "value", "sentence"), WRONG)
def test_a_wrong_profile_names_the_field_and_the_fix_and_shows_what_was_entered(field, value, sentence):
    response = save_edit(signed_in(), reverse("kitchen-profile"), PROFILE | {"phone": "555 0142", field: value})
    assert response.status_code == 200
    assert text(response).count(sentence) == 2  # in the summary and at the field
    assert shows(response, "555 0142")
    assert not Kitchen.objects.exists()


def test_yen_have_no_decimals():
    yen = PROFILE | {"currency": "JPY", "order_minimum": "20000", "price_step": "10"}
    client = signed_in()
    assert "without decimals" in text(save_edit(client, reverse("kitchen-profile"), yen | {"price_step": "0.5"}))
    assert save_edit(client, reverse("kitchen-profile"), yen).status_code == 302
    assert shows(client.get(reverse("kitchen-profile")), "20000")


def test_the_currency_stays_once_a_quote_is_written_in_it():
    factories.kitchen_make()
    client = signed_in()
    facts = PROFILE | {"currency": "EUR"}
    factories.draft_make()
    page = client.get(reverse("kitchen-profile"))
    assert "It stays: quotes or other documents are written in it." in text(page)
    save_edit(client, reverse("kitchen-profile"), facts)
    assert Kitchen.objects.get().currency == "USD"
    with refused(CurrencyLocked, match="has to stay USD"):
        profile_save(data={"currency": "EUR"})


def test_the_currency_can_change_before():
    client = signed_in()
    save_edit(client, reverse("kitchen-profile"), PROFILE)
    save_edit(client, reverse("kitchen-profile"), PROFILE | {"currency": "EUR"})
    assert Kitchen.objects.get().currency == "EUR"


WEEK = [
    {"weekday": 1, "opens": "7 am", "closes": "12:00"},
    {"weekday": 1, "opens": "13", "closes": "5:30pm"},
    {"weekday": 0, "opens": "", "closes": ""},
    {"weekday": 3, "opens": "0:00", "closes": "23:59"},
    {"weekday": "", "opens": "", "closes": ""},
]


def test_hours_are_taken_as_people_write_them_and_a_day_without_times_is_off():
    client = signed_in()
    days = [{"date": "2027-05-01", "reason": "Spring holiday"}, {"date": "", "reason": ""}]
    assert save_edit(client, reverse("kitchen-hours"), calendar(week=WEEK, closed=days)).status_code == 302
    week = [(hours.weekday, f"{hours.opens:%H:%M}", f"{hours.closes:%H:%M}") for hours in OpenHours.objects.all()]
    assert week == [(1, "07:00", "12:00"), (1, "13:00", "17:30"), (3, "00:00", "23:59")]
    closed = ClosedDay.objects.get()
    assert (closed.date, closed.reason) == (date(2027, 5, 1), "Spring holiday")
    page = client.get(reverse("kitchen-hours"))
    assert shows(page, "7:00 AM")
    assert shows(page, "2027-05-01")


def test_hours_that_are_taken_out_go():
    client = signed_in()
    save_edit(client, reverse("kitchen-hours"), calendar(week=WEEK))
    gone = [{**row, "DELETE": "on"} for row in WEEK[:1]] + WEEK[1:]
    save_edit(client, reverse("kitchen-hours"), calendar(week=gone))
    assert OpenHours.objects.filter(weekday=1).count() == 1


@pytest.mark.parametrize(
    ("row", "sentence"),
    [
        ({"weekday": 1, "opens": "12:00 PM", "closes": "7:00 AM"}, "Enter an end after 12:00 PM."),
        ({"weekday": 1, "opens": "12:00", "closes": ""}, "Enter when work ends."),
        ({"weekday": 1, "opens": "", "closes": "12:00"}, "Enter when work starts."),
        ({"weekday": "", "opens": "7:00", "closes": "12:00"}, "Choose the day."),
        ({"weekday": 9, "opens": "7:00", "closes": "12:00"}, "Choose one of the offered entries for “Day”"),
        (
            {"weekday": 1, "opens": "early", "closes": "12:00 PM"},
            "Write the hour under “From” as a time, such as 4:00 PM.",
        ),
        (
            {"weekday": 2, "opens": "8:00", "closes": "9:00"},
            "This overlaps Wednesday 7:00 AM to 12:00 PM. Enter one row for both.",
        ),
    ],
)
def test_wrong_hours_name_the_row_and_the_others_stay(row, sentence):
    good = {"weekday": 2, "opens": "07:00", "closes": "12:00"}
    response = save_edit(signed_in(), reverse("kitchen-hours"), calendar(week=[good, row]))
    assert f"Row 2: {sentence}" in text(response)
    assert shows(response, "07:00")
    assert not OpenHours.objects.exists()


def test_a_day_is_closed_once():
    day = {"date": "2027-05-01", "reason": ""}
    response = save_edit(signed_in(), reverse("kitchen-hours"), calendar(closed=[day, day]))
    assert "Closed day 2: This date is entered twice." in text(response)


def test_price_rules_know_the_same_kinds_of_customers_as_customers_do():
    assert [code for code, _ in CUSTOMER_KINDS] == list(Customer.Kind.values)


def test_words_about_traces_that_an_ingredient_belies_are_refused_at_their_field():
    client = signed_in()
    save_edit(client, reverse("kitchen-profile"), PROFILE)
    Ingredient.objects.create(code="nuts", name="Hazelnut paste", allergens=["hazelnuts"])
    claim = {"cross_contact": "We are free of nuts.", "phone": "555 0199"}
    page = save_edit(client, reverse("kitchen-profile"), PROFILE | claim)
    form = page.context["form"]
    assert form.errors["cross_contact"] == [
        "“free of nuts” is not so. It is in: Hazelnut paste. Customers rely on it. Take these words out and write "
        "what you do handle, or answer for each of them by its label."
    ]
    assert form["phone"].value() == "555 0199", "nothing typed is lost"
    assert Kitchen.objects.get().cross_contact == ""
    honest = {"cross_contact": "We work with hazelnuts, so nothing is free of nuts."}
    assert save_edit(client, reverse("kitchen-profile"), PROFILE | honest).status_code == 302


def test_the_profile_shows_all_that_customers_read_about_traces():
    client = signed_in()
    save_edit(client, reverse("kitchen-profile"), PROFILE | {"cross_contact": "We bake with walnuts every day."})
    page = client.get(reverse("kitchen-profile")).content.decode()
    assert f"Customers read: “We bake with walnuts every day. {CROSS_CONTACT}”" in page


@pytest.mark.parametrize(
    ("country", "rules", "refused_"),
    [
        ("GB", "us", True),
        ("GB", "uk-sc", False),
        ("AU", "nz", True),
        ("DE", "us", True),
        ("CA", "ca-qc", False),
        ("CH", "us", False),
        ("US", "eu", False),  # the country stays: that was chosen before
    ],
)
def test_another_country_does_not_keep_the_rules_of_the_one_before_without_a_word(country, rules, refused_):
    client = signed_in()
    save_edit(client, reverse("kitchen-profile"), PROFILE)
    page = save_edit(client, reverse("kitchen-profile"), PROFILE | {"country": country, "food_safety": rules})
    if refused_:
        (words,) = page.context["form"].errors["food_safety"]
        assert words.startswith("These food-safety rules are of another country. Choose those of ")
        assert (Kitchen.objects.get().country, Kitchen.objects.get().food_safety) == ("US", "us")
    else:
        assert page.status_code == 302
        assert (Kitchen.objects.get().country, Kitchen.objects.get().food_safety) == (country, rules)


def proposed(client, **entered):
    page = client.post(reverse("kitchen-profile"), PROFILE | entered | {"do": "usual"})
    assert page.status_code == 200
    return page, page.context["form"].initial


def test_a_country_proposes_what_is_usual_there_and_saves_nothing():
    client = signed_in()
    page, found = proposed(client, country="DE", name="Café Distel", time_zone="America/New_York")
    assert not Kitchen.objects.exists()
    assert found["name"] == "Café Distel"
    names = ("currency", "locale", "time_zone", "measures", "cup", "degrees", "distance", "paper", "prices", "tax_name")
    assert [found[name] for name in names] == [
        *("EUR", "de_DE", "Europe/Berlin", "metric", "metric", "C", "km", "A4", "gross", "VAT"),
    ]
    assert (found["allergen_list"], found["food_safety"]) == ("eu", "eu")
    assert "Filled in for Germany, not saved yet: Measures, A cup is, Temperatures in" in text(page)
    assert "Enter" not in page.context["form"].errors


@pytest.mark.parametrize(
    ("country", "expected"),
    [
        ("US", {"currency": "USD", "degrees": "F", "paper": "Letter", "tax_name": "Sales tax", "prices": "net"}),
        ("GB", {"currency": "GBP", "locale": "en_GB", "distance": "mi", "measures": "metric", "allergen_list": "eu"}),
        ("CA", {"currency": "CAD", "paper": "Letter", "degrees": "C", "food_safety": "ca", "tax_name": "GST/HST"}),
        ("NZ", {"currency": "NZD", "locale": "en_NZ", "food_safety": "nz", "time_zone": "Pacific/Auckland"}),
    ],
)
def test_each_country_has_its_own(country, expected):
    _, found = proposed(signed_in(), country=country, time_zone="Europe/Berlin")
    assert {name: found[name] for name in expected} == expected


def test_what_a_country_leaves_open_stays_as_it_was_entered():
    """The nations of the United Kingdom have rules of their own; a zone that is in the country stays."""
    client = signed_in()
    _, found = proposed(client, country="GB", food_safety="uk-sc", time_zone="Europe/London")
    assert (found["food_safety"], found["time_zone"]) == ("uk-sc", "Europe/London")
    _, found = proposed(client, country="US", time_zone="America/Denver")
    assert found["time_zone"] == "America/Denver"


def test_the_currency_of_documents_is_not_proposed_away():
    factories.kitchen_make()
    factories.sent_make()
    _, found = proposed(signed_in(), country="DE", currency="USD")
    assert found["currency"] == "USD"
    assert Kitchen.objects.get().currency == "USD"


def test_an_unknown_country_proposes_nothing_wrong():
    _, found = proposed(signed_in(), country="ZZ", time_zone="Europe/Berlin", currency="EUR")
    assert (found["currency"], found["time_zone"]) == ("EUR", "Europe/Berlin")


def test_a_new_kitchens_temperatures_have_the_degrees_that_are_chosen_for_it() -> None:
    home = Kitchen()
    form = ProfileForm(None, kitchen=home, currency_locked=False, initial={"room_c": home.room_c, "degrees": "C"})
    assert form["room_c"].value() == "24 °C"
    for degrees, written, celsius in (("C", "22", "22"), ("F", "77", "25"), ("F", "22 °C", "22")):
        sent = ProfileForm({"degrees": degrees, "room_c": written}, kitchen=home, currency_locked=False)
        sent.is_valid()
        assert str(sent.cleaned_data["room_c"]) == celsius


def test_before_a_country_is_saved_it_says_what_changes_of_recipes_and_prices():
    factories.kitchen_make()
    client = signed_in()
    line = RecipeLine.objects.order_by("pk").first()
    RecipeLine.objects.update(amount="250 g")
    RecipeLine.objects.filter(pk=line.pk).update(amount="2 cup")
    Product.objects.update(list_price=None)
    product = Product.objects.order_by("pk").first()
    Product.objects.filter(pk=product.pk).update(list_price=20)
    TaxRate.objects.filter(category=product.tax).update(rate="0.25")
    now = Kitchen.objects.get()
    assert (now.cup, now.prices) == ("us", "net")
    page, _ = proposed(client, country="DE", cup="us", prices="net")
    assert (
        "Saving it changes 1 recipe with cups or spoons (each such amount by 5.7% at most) and 1 list price, which "
        "then has the tax in it (20.0% less without it, at most)." in text(page)
    )
    page, _ = proposed(client, country="US", cup="us", prices="net")
    assert "Saving it changes" not in text(page)
    assert Kitchen.objects.get().cup == "us"


def test_where_the_law_asks_for_it_the_approve_button_proposed_says_that_the_order_obliges_to_pay():
    client = signed_in()
    usual_words = "Approve and commit to pay"
    for country in ("DE", "IE", "GB"):
        _, found = proposed(client, country=country, approve_button=usual_words)
        assert found["approve_button"] == "Order with obligation to pay", country
    _, found = proposed(client, country="US", approve_button=usual_words)
    assert found["approve_button"] == usual_words
    _, found = proposed(client, country="DE", approve_button="Order and pay")
    assert found["approve_button"] == "Order and pay"
    assert client.get(reverse("kitchen-profile"), {"country": "DE"}).context["form"].initial["approve_button"] == (
        "Order with obligation to pay"
    )


def test_amounts_are_asked_for_in_the_currency_that_a_country_proposes() -> None:
    page, _ = proposed(signed_in(), country="DE")
    labels = re.findall(r'<label for="id_(?:price_step|order_minimum)">(.*?)</label>', page.content.decode())
    assert len(labels) == 2
    assert all("in EUR" in label for label in labels), labels
