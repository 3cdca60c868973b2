"""Bank details and the address of a payment page: what fits, and what has a mistake."""

import pytest

from catalog.kitchen.bank import (
    account_fits,
    bic_fits,
    compact,
    iban_fits,
    iban_printed,
    page_filled,
    page_problem,
    routing_fits,
)

#: Examples as the registry of ISO 13616 prints them (from memory).
GERMAN, BRITISH, NORWEGIAN = "DE89370400440532013000", "GB29NWBK60161331926819", "NO9386011117947"


@pytest.mark.parametrize(
    ("text", "fits"),
    [
        (GERMAN, True),
        (BRITISH, True),
        (NORWEGIAN, True),
        # One digit is another, and two beside each other are exchanged.
        ("DE89370400440532013001", False),
        ("DE89370400440532010300", False),
        ("DE88370400440532013000", False),
        ("DE8937040044", False),
        ("8937040044053201300000", False),
        ("DE89370400440532013000DE89370400440532013000", False),
        ("", False),
        ("DE8937040044053201300\u0660", False),
    ],
)
def test_the_check_digits_of_an_iban(text: str, fits: bool) -> None:
    assert iban_fits(text) is fits


def test_an_iban_is_read_as_people_write_it_and_printed_in_fours() -> None:
    assert compact("de89 3704-0044 0532 0130 00") == GERMAN
    assert iban_printed(GERMAN) == "DE89 3704 0044 0532 0130 00"
    assert iban_printed("") == ""


@pytest.mark.parametrize(("text", "fits"), [("MERRDEFF", True), ("MERRDEFF001", True), ("MERRDEF", False), ("", False)])
def test_the_form_of_a_bic(text: str, fits: bool) -> None:
    assert bic_fits(text) is fits


@pytest.mark.parametrize(
    ("text", "fits"),
    [
        # 3·(1+0+0) + 7·(1+0+2) + (1+0+5) = 3 + 21 + 6 = 30.
        ("111000025", True),
        ("111000026", False),
        ("101000025", False),
        ("000000000", False),
        ("11100002", False),
        ("11100002a", False),
    ],
)
def test_the_check_digit_of_a_routing_number(text: str, fits: bool) -> None:
    assert routing_fits(text) is fits


@pytest.mark.parametrize(
    ("text", "fits"),
    [("1234", True), ("0" * 17, True), ("123", False), ("1" * 18, False), ("12 34", False), ("\u0661234", False)],
)
def test_the_form_of_an_account_number(text: str, fits: bool) -> None:
    assert account_fits(text) is fits


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("https://pay.example/me?sum={amount}&for={reference}", ""),
        ("https://pay.example/me", ""),
        ("http://pay.example/me", "https"),
        ("pay.example/me", "https"),
        ("javascript:alert(1)", "https"),
        ("https:///me", "address"),
        ("https://pay", "address"),
        ("https://somebody@pay.example/", "address"),
        ("https://{amount}.example/", "address"),
        ("https://pay.example/a b", "address"),
        ("https://[pay.example/", "address"),
        ("https://pay.example/?a={sum}", "braces"),
        ("https://pay.example/?a={amount", "braces"),
    ],
)
def test_the_address_of_a_payment_page(text: str, code: str) -> None:
    found = page_problem(text)
    assert ("" if found is None else found.code) == code


def test_what_is_filled_in_is_quoted() -> None:
    text = "https://pay.example/me?sum={amount}&for={reference}"
    filled = page_filled(text, amount="12.50", reference="I-1, I-2&x=/")
    assert filled == "https://pay.example/me?sum=12.50&for=I-1%2C%20I-2%26x%3D%2F"
