"""New passwords are not built from the words everybody would try first."""

import pytest
from django.contrib.auth.models import User
from django.contrib.auth.password_validation import (
    CommonPasswordValidator,
    get_password_validators,
    validate_password,
)
from django.core.exceptions import ValidationError

from catalog.kitchen.models import Kitchen
from config import settings
from config.accounts.password_rules import FEW, CommonParts, common_parts

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    "password", ["Tollgate-Oven-2026", "coldset-kitchen-1", "OwnerOwnerOwner", "dessertcake1234", "123456789012345"]
)
def test_the_kitchens_name_words_of_the_trade_and_numbers_make_no_password(password: str) -> None:
    Kitchen.objects.create(pk=1, name="Tollgate Oven", email="oven@example.org")
    with pytest.raises(ValidationError, match="too easy to guess"):
        validate_password(password)


@pytest.mark.parametrize("password", ["seven plums on a tray", "kitchen sparrow violet", "Ünïcödé słowa zażółć"])
def test_others_do_whatever_characters_they_have(password: str) -> None:
    Kitchen.objects.create(pk=1, name="Tollgate Oven", email="oven@example.org")
    validate_password(password)
    validate_password(password * 3)


@pytest.mark.parametrize("password", ["odile odile odile", "OdileMarsh-Odile1"])
def test_the_persons_own_name_makes_no_password(password: str) -> None:
    user = User(username="odile", first_name="Odile", last_name="Marsh")
    with pytest.raises(ValidationError, match="too easy to guess"):
        validate_password(password, user)


def test_every_rule_of_the_settings_is_there() -> None:
    assert len(get_password_validators(settings.AUTH_PASSWORD_VALIDATORS)) == 5


@pytest.mark.parametrize(
    "password",
    [
        *("password1234", "P@ssw0rd2024!", "iloveyou!1234", "dragon-sunshine", "qwertyuiop[]", "1q2w3e4r5t6y"),
        *(
            "letmein2letmein",
            "Abcdefghijklm",
            "mmmmmmmmmmmmmm",
            "michaeljordan23",
            "zyxwvutsrqpo",
            "MonkeyMonkeyMonkey7",
        ),
    ],
)
def test_common_passwords_made_long_by_numbers_repetition_or_each_other_make_no_password(password: str) -> None:
    with pytest.raises(ValidationError):
        validate_password(password)
    with pytest.raises(ValidationError, match="common passwords"):
        CommonParts().validate(password)


@pytest.mark.parametrize("password", ["correct horse battery staple", "monkey dragon sunshine", "Zx9#kQ2mVt8w"])
def test_three_words_or_no_words_at_all_are_taken(password: str) -> None:
    validate_password(password)


def test_three_thousand_common_ones_of_twelve_characters_and_more_are_refused() -> None:
    """OWASP ASVS 5.0.0, 6.2.4, asks for the 3,000 most common that fit the rules for passwords.

    Django's list has too few that are long enough; its short ones are made long as people do it.
    """
    known = CommonPasswordValidator().passwords
    made = {one if len(one) >= 12 else (one + "123456789012")[:12] for one in sorted(known)[::5]}
    assert len([one for one in made if common_parts(one) <= FEW]) >= 3000
