"""Molds: tins, rings, glasses and trays."""

from functools import partial

from django.contrib import messages
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from catalog.molds import services
from catalog.molds.forms import MoldForm
from catalog.molds.models import Mold
from catalog.molds.pans import mold_pan
from catalog.web.access import KITCHEN, OWNER, allow
from catalog.web.editor import delete_page
from catalog.web.form_data import submitted_data
from catalog.web.roles import sees_costs


@allow(OWNER, KITCHEN)
@require_safe
def molds(request: HttpRequest) -> HttpResponse:
    """Show all molds."""
    rows = [(mold, mold_pan(mold).volume) for mold in Mold.objects.annotate(uses=Count("products"))]
    return render(request, "catalog/molds/list.html", {"rows": rows, "money": sees_costs(request)})


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def mold_new(request: HttpRequest) -> HttpResponse:
    """Add a mold."""
    return _edited(request, None)


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def mold_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a mold."""
    return _edited(request, get_object_or_404(Mold, pk=pk))


def _edited(request: HttpRequest, mold: Mold | None) -> HttpResponse:
    form = MoldForm(submitted_data(request), mold=mold)
    if form.is_bound and form.is_valid():
        by, pk = request.user.get_username(), mold.pk if mold else None
        saved = services.mold_save(mold_id=pk, data=form.mold_data(), by=by, at=timezone.now())
        messages.success(request, f"{saved.name} is saved.")
        return redirect("molds")
    context = {"form": form, "mold": mold}
    return render(request, "catalog/molds/edit.html", context, status=422 if form.errors else 200)


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def mold_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a mold, or say what is made in it."""
    mold = get_object_or_404(Mold, pk=pk)
    delete = partial(services.mold_delete, mold_id=pk, by=request.user.get_username(), at=timezone.now())
    context = {"mold": mold, "users": list(mold.products.order_by("name"))}
    return delete_page(request, "catalog/molds/delete.html", mold, delete=delete, listing="molds", context=context)
