"""The owner's pages of people: added with an invitation, changed, closed, signed out, and helped after a lost phone."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.models import User
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from catalog.records.errors import Overtaken, Refusal
from catalog.records.people import person_name
from catalog.web.access import OWNER, ROLES, allow
from catalog.web.actions import sent_to
from catalog.web.edits import Edit
from catalog.web.form_data import submitted_data
from config.accounts.forms import OwnPasswordForm
from config.accounts.invitations import invitation_link
from config.accounts.passwords import password_check
from config.accounts.people import (
    person_add,
    person_change,
    person_close,
    person_link_made,
    person_open,
    person_version,
)
from config.accounts.people_forms import NewPersonForm, PersonForm
from config.accounts.people_presenters import people_shown, person_shown
from config.accounts.person import person
from config.accounts.presenters import account_sentence
from config.accounts.second_factor import second_factor_of, second_factor_reset
from config.accounts.sessions import person_sessions_end
from config.roles import roles_of
from orders.mail.selectors import mail_leaves


@require_http_methods(["GET", "HEAD", "POST"])
@allow(OWNER)
def people(request: HttpRequest) -> HttpResponse:
    """List everybody, and add somebody."""
    form = NewPersonForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        by = person(request).get_username()
        try:
            added = person_add(**form.cleaned_data, by=by, at=timezone.now(), invite=True)
        except Refusal as refusal:
            form.add_error(refusal.place or None, account_sentence(refusal))
        else:
            messages.success(request, gettext("%(name)s is added.") % {"name": person_name(added)})
            return redirect("person", pk=added.pk)
    return render(request, "accounts/people.html", {"form": form, "people": people_shown()})


@require_http_methods(["GET", "HEAD", "POST"])
@allow(OWNER)
def person_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Show and change somebody; with the invitation while no password is set."""
    data = submitted_data(request)
    edit = Edit(
        data=data,
        load=lambda: get_object_or_404(User, pk=pk),
        forms=_person_form,
        version_of=person_version,
        page=request.path,
    )
    if edit.forms.is_bound and edit.forms.is_valid() and _changed(request, edit):
        messages.success(request, gettext("Saved."))
        return redirect("person", pk=pk)
    other = edit.record
    context = {
        "form": edit.forms,
        "edit": edit,
        "one": person_shown(other, two_step=second_factor_of(other) is not None),
        "link": invitation_link(other) if other.is_active and not other.has_usable_password() else "",
        "mail_leaves": mail_leaves(),
        "is_self": other == person(request),
    }
    return render(request, "accounts/person.html", context, status=edit.status())


def _person_form(user: User, data: QueryDict | None) -> PersonForm:
    role = next((role for role in ROLES if role in roles_of(user)), "")
    return PersonForm(data, initial={"name": user.get_full_name(), "email": user.email, "role": role})


def _changed(request: HttpRequest, edit: Edit[User, PersonForm]) -> bool:
    values = edit.forms.cleaned_data
    by, now = person(request).get_username(), timezone.now()

    def save(version: str) -> User:
        return person_change(pk=edit.record.pk, **values, by=by, at=now, version=version)

    try:
        return edit.saved(save) is not None
    except Overtaken:
        raise
    except Refusal as refusal:
        edit.forms.add_error(refusal.place or None, account_sentence(refusal))
        return False


@allow(OWNER)
@sent_to("person")
def person_close_view(request: HttpRequest, pk: int) -> HttpResponse:
    """Let somebody who has left sign in no more."""
    return _done(request, pk, person_close, gettext("%(name)s is signed out everywhere and can no longer sign in."))


@allow(OWNER)
@sent_to("person")
def person_open_view(request: HttpRequest, pk: int) -> HttpResponse:
    """Let somebody sign in again."""
    return _done(request, pk, person_open, gettext("%(name)s can sign in again."))


def _done(request: HttpRequest, pk: int, act: Any, note: str) -> HttpResponse:
    other = get_object_or_404(User, pk=pk)
    try:
        act(user=other, by=person(request).get_username(), at=timezone.now())
    except Refusal as refusal:
        messages.error(request, account_sentence(refusal))
    else:
        messages.success(request, note % {"name": person_name(other)})
    return redirect("person", pk=pk)


@allow(OWNER)
@sent_to("person")
def person_link(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a link at which somebody sets a new password: for whoever forgot it and has no e-mail address."""
    other = get_object_or_404(User, pk=pk, is_active=True)
    person_link_made(user=other, by=person(request).get_username(), at=timezone.now())
    context = {"name": person_name(other), "pk": pk, "link": invitation_link(other)}
    return render(request, "accounts/person_link.html", context)


@allow(OWNER)
@sent_to("person")
def person_sign_out(request: HttpRequest, pk: int) -> HttpResponse:
    """End all sessions of somebody, such as a person who lost a phone.

    Who has left could sign in again: that account is closed by :func:`person_close_view`.
    """
    other, user = get_object_or_404(User, pk=pk), person(request)
    keep = request.session.session_key if other == user else None
    person_sessions_end(user=other, keep=keep, by=user.get_username(), at=timezone.now())
    note = (
        gettext("%(name)s is signed out of all other browsers.")
        if keep
        else gettext("%(name)s is signed out everywhere.")
    )
    messages.success(request, note % {"name": person_name(other)})
    return redirect("person", pk=other.pk)


@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
@allow(OWNER)
def two_step_reset(request: HttpRequest, pk: int) -> HttpResponse:
    """Remove the second factor of somebody who lost phone and recovery codes."""
    other = get_object_or_404(User, pk=pk)
    if second_factor_of(other) is None:
        raise Http404
    user, now = person(request), timezone.now()
    form = OwnPasswordForm(request.POST if request.method == "POST" else None)
    name = person_name(other)
    if form.is_bound and form.is_valid():
        try:
            password_check(user=user, password=form.cleaned_data["password"], at=now)
            second_factor_reset(user=other, by=user.get_username(), at=now)
        except Refusal as refusal:
            form.add_error("password", account_sentence(refusal))
        else:
            messages.success(request, gettext("Two-step sign-in of %(name)s is reset.") % {"name": name})
            return redirect("person", pk=other.pk)
    return render(request, "accounts/two_step_reset.html", {"form": form, "name": name})
