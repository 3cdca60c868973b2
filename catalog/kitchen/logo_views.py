"""The page of the kitchen's logo."""

from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from catalog.kitchen.logo_forms import LogoForm
from catalog.kitchen.logo_services import logo_of, logo_put_back, logo_remove, logo_save, logo_version
from catalog.kitchen.models import Kitchen
from catalog.pictures.edit_views import Deed, picture_page
from catalog.web.access import OWNER, allow
from catalog.web.edits import Edit
from catalog.web.form_data import submitted_data


def _edit(data: QueryDict | None = None, files: Any = None) -> Edit[Kitchen, LogoForm]:
    return Edit(
        data=data,
        load=lambda: get_object_or_404(Kitchen, pk=1),
        forms=lambda kitchen, data: LogoForm(data, data and files, use=logo_of(kitchen)),
        version_of=logo_version,
        page=reverse("kitchen-logo"),
    )


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def logo(request: HttpRequest) -> HttpResponse:
    """Show the kitchen's logo; take another one, remove it, put the one before back. First the kitchen is set up."""
    if not Kitchen.objects.filter(pk=1).exists():
        return redirect("kitchen-profile")
    edit = _edit(submitted_data(request), request.FILES or None)
    return picture_page(
        request, "catalog/kitchen/logo.html", edit, deeds=_deeds(request, edit), opened=_edit, context=dict
    )


def _deeds(request: HttpRequest, edit: Edit[Kitchen, LogoForm]) -> dict[str, Deed]:
    by, at, page = request.user.get_username(), timezone.now(), edit.page

    def save(version: str) -> Kitchen:
        new, has_name = edit.forms.new_picture(), edit.forms.cleaned_data["has_name"]
        return logo_save(new=new, has_name=has_name, version=version, by=by, at=at)

    return {
        "save": Deed(save, gettext("The logo is saved."), page),
        "remove": Deed(
            lambda version: logo_remove(version=version), gettext("The logo is removed. You can put it back."), page
        ),
        "put-back": Deed(lambda version: logo_put_back(version=version), gettext("The earlier logo is back."), page),
    }
