"""People who sign in, from the command line: the first owner, help for whoever is locked out, and those who leave."""

from argparse import ArgumentParser
from typing import Any

from django.contrib.auth.models import User
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from catalog.web.access import ROLES
from config.accounts.errors import LastOwner, NameTaken, NoSecondFactor
from config.accounts.first_owner import an_owner_exists, set_up_link
from config.accounts.mails import password_link
from config.accounts.people import person_add, person_close, person_open
from config.accounts.second_factor import second_factor_reset
from config.signing_key import require_signing_key
from orders.mail.addresses import can_be_written_to
from orders.records.actors import COMMAND


class Command(BaseCommand):
    """``account first``, ``add``, ``link``, ``reset-two-step``, ``close``, ``open``, ``list``."""

    help = "Add somebody who may sign in, make a link to set a password, reset two-step sign-in, or close an account."
    # `serve` and `check` make the checks; here they would only load every page and the renderer.
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare what to do and for whom."""
        acts = parser.add_subparsers(dest="act", required=True)
        acts.add_parser("first", help="print the link at which the first owner sets the kitchen up: for a day, once")
        add = acts.add_parser("add", help="add somebody; prints a link at which the person sets a password")
        add.add_argument("username")
        add.add_argument("--role", required=True, choices=ROLES)
        add.add_argument("--name", default="", help="full name")
        add.add_argument("--email", default="", help="where links to set a new password go")
        link = acts.add_parser("link", help="print a link at which the person sets a password: for an hour, once")
        link.add_argument("username")
        reset = acts.add_parser("reset-two-step", help="for somebody who lost phone and recovery codes")
        reset.add_argument("username")
        close = acts.add_parser("close", help="for somebody who has left: signed out everywhere, and signs in no more")
        close.add_argument("username")
        again = acts.add_parser("open", help="let somebody whose account was closed sign in again")
        again.add_argument("username")
        acts.add_parser("list", help="list everybody who may sign in")

    def handle(self, *args: Any, **options: Any) -> None:
        """Do it, and print the outcome."""
        act = {
            "first": self._first,
            "add": self._add,
            "link": self._link,
            "reset-two-step": self._reset,
            "close": self._close,
            "open": self._open,
            "list": self._list,
        }
        act[options["act"]](options)

    def _first(self, _options: dict[str, Any]) -> None:
        require_signing_key()
        if an_owner_exists():
            self.stdout.write("This kitchen has an owner. A link to set a new password: manage.py account link NAME")
        else:
            self.stdout.write(f"Set up your kitchen here, within a day, once:\n{set_up_link()}")

    def _add(self, options: dict[str, Any]) -> None:
        require_signing_key()  # before somebody is added: the link to set a password is signed
        if options["email"] and not can_be_written_to(options["email"]):
            raise CommandError(f"{options['email']!r} is no e-mail address.")
        try:
            user = person_add(
                username=options["username"],
                role=options["role"],
                name=options["name"],
                email=options["email"],
                by=COMMAND,
                at=timezone.now(),
            )
        except NameTaken as error:
            raise CommandError(
                f"There is somebody called {options['username']} already; "
                f"a new link for them: manage.py account link {options['username']}"
            ) from error
        self._say_link(user)

    def _link(self, options: dict[str, Any]) -> None:
        require_signing_key()
        self._say_link(_person(options["username"]))

    def _say_link(self, user: User) -> None:
        self.stdout.write(f"{user.get_username()} sets a password within an hour, once, at\n{password_link(user)}")

    def _reset(self, options: dict[str, Any]) -> None:
        user = _person(options["username"])
        try:
            second_factor_reset(user=user, by=COMMAND, at=timezone.now())
        except NoSecondFactor as error:
            raise CommandError(f"{user.get_username()} has no two-step sign-in.") from error
        self.stdout.write(f"{user.get_username()} signs in by password alone, until it is set up again.")

    def _close(self, options: dict[str, Any]) -> None:
        user = _person(options["username"])
        try:
            person_close(user=user, by=COMMAND, at=timezone.now())
        except LastOwner as error:
            raise CommandError("Nobody else is an owner, and a kitchen needs one: add another owner first.") from error
        self.stdout.write(f"{user.get_username()} is signed out everywhere and signs in no more.")

    def _open(self, options: dict[str, Any]) -> None:
        user = _person(options["username"], active=False)
        person_open(user=user, by=COMMAND, at=timezone.now())
        self.stdout.write(f"{user.get_username()} may sign in again.")

    def _list(self, _options: dict[str, Any]) -> None:
        for user in User.objects.order_by("username").prefetch_related("groups"):
            roles = ", ".join(sorted(group.name for group in user.groups.all()))
            state = "" if user.is_active else " (not active)"
            self.stdout.write(f"{user.get_username()}: {roles or 'no role'}{state}")


def _person(username: str, *, active: bool = True) -> User:
    user = User.objects.filter(username=username, is_active=active).first()
    if user is None:
        closed = "" if active else " whose account is closed"
        raise CommandError(f"There is nobody called {username}{closed}: manage.py account list says who there is.")
    return user
