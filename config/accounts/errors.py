"""Refusals about accounts: codes. Their sentences are in ``presenters.py``."""

from catalog.records.errors import Refusal


class AccountError(Refusal):
    """Base of the refusals about accounts."""

    code = "account"


class WrongPassword(AccountError):
    """The person's own password, asked for again, is wrong."""

    code = "wrong_password"


class WrongCode(AccountError):
    """The code of the authenticator app, or the recovery code, is wrong or was used before."""

    code = "wrong_code"


class NothingToConfirm(AccountError):
    """No secret waits for its first code, or it waited for too long."""

    code = "nothing_to_confirm"


class LinkUsedUp(AccountError):
    """The link of a mail is wrong, over, or was used."""

    code = "link_used_up"


class NoSecondFactor(AccountError):
    """The person has no second factor."""

    code = "no_second_factor"


class RoleNeedsSecondFactor(AccountError):
    """The owner requires a second factor for a role of the person."""

    code = "role_needs_second_factor"


class NameTaken(AccountError):
    """Somebody else has the user name, in upper or lower case."""

    code = "name_taken"


class LastOwner(AccountError):
    """Nobody else is an owner."""

    code = "last_owner"


class OwnerExists(AccountError):
    """The first owner was added before."""

    code = "owner_exists"


class OwnSecondFactorFirst(AccountError):
    """Whoever requires a second factor for a role of her own has none herself."""

    code = "own_second_factor_first"
