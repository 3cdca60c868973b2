"""New passwords are not built from the words everybody would try first."""

import pytest
from django.contrib.auth.password_validation import get_password_validators, validate_password
from django.core.exceptions import ValidationError

from catalog.kitchen.models import Kitchen
from config import settings

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    "password", ["Tollgate-Oven-2026", "coldset-kitchen-1", "OwnerOwnerOwner", "dessertcake1234", "123456789012345"]
)
def test_the_kitchens_name_words_of_the_trade_and_numbers_make_no_password(password: str) -> None:
    Kitchen.objects.create(pk=1, name="Tollgate Oven", email="oven@example.org")
    with pytest.raises(ValidationError, match="Leave out"):
        validate_password(password)


@pytest.mark.parametrize("password", ["seven plums on a tray", "kitchen sparrow violet", "Ünïcödé słowa zażółć"])
def test_others_do_whatever_characters_they_have(password: str) -> None:
    Kitchen.objects.create(pk=1, name="Tollgate Oven", email="oven@example.org")
    validate_password(password)
    validate_password(password * 3)


def test_every_rule_of_the_settings_is_there() -> None:
    assert len(get_password_validators(settings.AUTH_PASSWORD_VALIDATORS)) == 4
