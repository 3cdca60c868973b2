"""The second factor: set up, used once for each code, recovery codes, required for a role, reset."""

from datetime import timedelta

import pyotp
import pytest
from django.contrib.auth.hashers import make_password
from django.db import connection
from django.test import override_settings

from catalog.outbox.models import Outbox
from catalog.records.errors import TooManyTries
from catalog.web.access import BOOKKEEPER, KITCHEN, OWNER
from config.accounts import second_factor
from config.accounts.errors import (
    NoSecondFactor,
    NothingToConfirm,
    OwnSecondFactorFirst,
    RoleNeedsSecondFactor,
    WrongCode,
)
from config.accounts.models import RecoveryCode, SecondFactor
from config.accounts.role_rules import role_rules_set
from config.accounts.second_factor import (
    RECOVERY_CODES,
    SET_UP_WITHIN,
    code_spend,
    needs_second_factor,
    recovery_codes_left,
    recovery_codes_renew,
    second_factor_begin,
    second_factor_confirm,
    second_factor_of,
    second_factor_off,
    second_factor_reset,
    secret_to_scan,
)
from config.accounts.sign_in import CODE_AT_ACCOUNT, second_step
from config.settings import SECRET_KEY
from orders.records.models import AuditEntry
from tests.integration.config.accounts.people import NOW, person_make, phone_code, second_factor_make

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(minutes=5)


def test_a_code_counts_once_and_an_older_one_no_more() -> None:
    user = person_make()
    second_factor_make(user)
    before, code = phone_code(user, LATER - timedelta(seconds=30)), phone_code(user, LATER)
    assert code_spend(user=user, code=code, at=LATER) is False
    for again in (code, before):
        with pytest.raises(WrongCode):
            code_spend(user=user, code=again, at=LATER)
    following = LATER + timedelta(seconds=30)
    assert code_spend(user=user, code=phone_code(user, following), at=following) is False


def test_the_code_that_confirmed_the_set_up_does_not_sign_in_too() -> None:
    user = person_make()
    second_factor_make(user)
    with pytest.raises(WrongCode):
        code_spend(user=user, code=phone_code(user, NOW), at=NOW)


def test_a_secret_is_stored_encrypted_and_shown_only_until_it_is_confirmed() -> None:
    user = person_make()
    second_factor_begin(user=user, at=NOW)
    secret = secret_to_scan(user, at=NOW)
    assert secret not in SecondFactor.objects.get().new_secret
    second_factor_confirm(user=user, code=pyotp.TOTP(secret).at(NOW), session_key=None, at=NOW)
    assert secret not in SecondFactor.objects.get().secret
    with pytest.raises(NothingToConfirm):
        secret_to_scan(user, at=NOW)


def test_a_secret_nobody_confirmed_in_time_is_worth_nothing() -> None:
    user = person_make()
    second_factor_begin(user=user, at=NOW)
    with pytest.raises(NothingToConfirm):
        secret_to_scan(user, at=NOW + SET_UP_WITHIN)
    assert second_factor_of(user) is None


def test_a_wrong_first_code_turns_nothing_on() -> None:
    user = person_make()
    second_factor_begin(user=user, at=NOW)
    with pytest.raises(WrongCode):
        second_factor_confirm(user=user, code="000000x", session_key=None, at=NOW)
    assert second_factor_of(user) is None


def test_the_old_phone_works_until_the_new_one_is_confirmed() -> None:
    user = person_make()
    second_factor_make(user)
    second_factor_begin(user=user, at=LATER)
    assert code_spend(user=user, code=phone_code(user, LATER), at=LATER) is False
    secret = secret_to_scan(user, at=LATER)
    second_factor_confirm(user=user, code=pyotp.TOTP(secret).at(LATER), session_key=None, at=LATER)
    following = LATER + timedelta(minutes=1)
    assert code_spend(user=user, code=pyotp.TOTP(secret).at(following), at=following) is False


def test_a_recovery_code_counts_once_however_it_is_typed() -> None:
    user = person_make()
    codes = second_factor_make(user)
    assert len(codes) == recovery_codes_left(user) == 10
    assert code_spend(user=user, code=f" {codes[3].upper().replace('-', ' ')} ", at=LATER) is True
    assert recovery_codes_left(user) == 9
    with pytest.raises(WrongCode):
        code_spend(user=user, code=codes[3], at=LATER)
    assert AuditEntry.objects.filter(document="user", document_pk=user.pk, event="recovery_code_used").count() == 1


def test_recovery_codes_are_stored_hashed_and_belong_to_one_person() -> None:
    ida, tess = person_make(), person_make("tess")
    codes = second_factor_make(ida)
    second_factor_make(tess)
    hidden = {code.replace("-", "")[2:] for code in codes}
    assert not any(part in row.code_hash for part in hidden for row in RecoveryCode.objects.all())
    with pytest.raises(WrongCode):
        code_spend(user=tess, code=codes[0], at=LATER)


def test_new_recovery_codes_replace_the_old_ones() -> None:
    user = person_make()
    with pytest.raises(NoSecondFactor):
        recovery_codes_renew(user=user, at=NOW)
    old = second_factor_make(user)
    new = recovery_codes_renew(user=user, at=LATER)
    assert not set(old) & set(new)
    with pytest.raises(WrongCode):
        code_spend(user=user, code=old[0], at=LATER)
    assert code_spend(user=user, code=new[0], at=LATER) is True


@pytest.mark.django_db(transaction=True)
def test_recovery_codes_are_hashed_before_the_transaction_because_that_takes_long(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    within: list[bool] = []

    def hashed(code: str) -> str:
        within.append(connection.in_atomic_block)
        return make_password(code)

    monkeypatch.setattr(second_factor, "make_password", hashed)
    user = person_make()
    second_factor_make(user)
    recovery_codes_renew(user=user, at=LATER)
    assert within == [False] * 2 * RECOVERY_CODES


def test_codes_are_guessed_slowly_and_not_at_the_cost_of_a_known_browser() -> None:
    user = person_make()
    second_factor_make(user)
    for _ in range(CODE_AT_ACCOUNT.free):
        with pytest.raises(WrongCode):
            second_step(user=user, code="not it", device=None, at=LATER)
    with pytest.raises(TooManyTries):
        second_step(user=user, code=phone_code(user, LATER), device=None, at=LATER)
    assert second_step(user=user, code=phone_code(user, LATER), device="hers", at=LATER) is False


def test_another_signing_key_reads_no_secret_and_the_old_one_still_does() -> None:
    user = person_make()
    codes = second_factor_make(user)
    code = phone_code(user, LATER)
    with override_settings(SECRET_KEY="another-key-0123456789-abcdefghijklmnopqrstuvwxyz"):
        with pytest.raises(WrongCode):
            code_spend(user=user, code=code, at=LATER)
        assert code_spend(user=user, code=codes[0], at=LATER) is True, "recovery codes need no key"
        with override_settings(SECRET_KEY_FALLBACKS=[SECRET_KEY]):
            assert code_spend(user=user, code=code, at=LATER) is False


def test_somebody_whose_role_requires_it_cannot_turn_it_off() -> None:
    owner = person_make()
    second_factor_make(owner)
    role_rules_set(roles=frozenset({OWNER}), by=owner, at=NOW)
    with pytest.raises(RoleNeedsSecondFactor):
        second_factor_off(user=owner, at=LATER)
    role_rules_set(roles=frozenset(), by=owner, at=LATER)
    second_factor_off(user=owner, at=LATER)
    assert second_factor_of(owner) is None
    assert recovery_codes_left(owner) == 0


def test_an_owner_without_one_cannot_require_it_of_herself() -> None:
    owner = person_make()
    with pytest.raises(OwnSecondFactorFirst):
        role_rules_set(roles=frozenset({OWNER, BOOKKEEPER}), by=owner, at=NOW)
    role_rules_set(roles=frozenset({BOOKKEEPER}), by=owner, at=NOW)
    assert needs_second_factor(person_make("tess", BOOKKEEPER))
    assert not needs_second_factor(person_make("kim", KITCHEN))


def test_a_reset_removes_secret_and_codes_and_tells_the_person() -> None:
    tess = person_make("tess", BOOKKEEPER, email="tess@kitchen.example")
    with pytest.raises(NoSecondFactor):
        second_factor_reset(user=tess, by="ida", at=NOW)
    second_factor_make(tess)
    second_factor_reset(user=tess, by="ida", at=LATER)
    assert second_factor_of(tess) is None
    assert not RecoveryCode.objects.exists()
    assert AuditEntry.objects.get(event="second_factor_reset").by == "ida"
    assert Outbox.objects.get(kind="account_mail").payload["mail"] == "second_factor_reset"
