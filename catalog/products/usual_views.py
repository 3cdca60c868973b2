"""The page of what the kitchen usually serves."""

from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.translation import gettext

from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen
from catalog.products.usual_forms import UsualFormSet, offered
from catalog.products.usual_services import usual_now, usual_save, usual_version
from catalog.web.access import OWNER, allow
from catalog.web.edits import Edit
from catalog.web.form_data import submitted_data


@allow(OWNER)
def usual_desserts(request: HttpRequest) -> HttpResponse:
    """Show and change what is usually served to each guest."""
    data = submitted_data(request)
    edit = Edit(data=data, load=kitchen, forms=_forms, version_of=usual_version, page=request.path)
    if data is not None and edit.forms.is_valid() and edit.saved(partial(_save, edit)):
        messages.success(request, gettext("The usual desserts are saved."))
        return redirect("usual-desserts")
    context = {"rows": edit.forms, "edit": edit}
    return render(request, "catalog/products/usual.html", context, status=edit.status())


def _forms(_: Kitchen, data: QueryDict | None) -> Any:
    usual = usual_now()
    initial = [{"product": str(key), "pieces": each} for key, each in usual.items()] if data is None else None
    return UsualFormSet(data, prefix="usual", initial=initial, form_kwargs={"names": offered(usual)})


def _save(edit: Edit[Kitchen, Any], version: str) -> bool:
    usual_save(pieces=edit.forms.pieces(), version=version)
    return True
