"""Moulds: tins, rings, glasses and trays."""

from django.contrib import messages
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from catalog.access import KITCHEN, OWNER, allow
from catalog.errors import InUse
from catalog.forms.making_moulds import MouldForm
from catalog.models import Mould
from catalog.selectors.recipes_scale import mould_pan
from catalog.services import moulds as services
from catalog.views.recipes_money import money_shown


@allow(OWNER, KITCHEN)
@require_safe
def moulds(request: HttpRequest) -> HttpResponse:
    """Show all moulds."""
    rows = [(mould, mould_pan(mould).volume) for mould in Mould.objects.annotate(uses=Count("products"))]
    return render(request, "catalog/moulds/list.html", {"rows": rows, "money": money_shown(request)})


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def mould_new(request: HttpRequest) -> HttpResponse:
    """Add a mould."""
    return _edited(request, None)


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def mould_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a mould."""
    return _edited(request, get_object_or_404(Mould, pk=pk))


def _edited(request: HttpRequest, mould: Mould | None) -> HttpResponse:
    form = MouldForm(request.POST if request.method == "POST" else None, mould=mould)
    if request.method == "POST" and form.is_valid():
        by, pk = request.user.get_username(), mould.pk if mould else None
        saved = services.mould_save(mould_id=pk, keep=form.keep(), by=by, at=timezone.now())
        messages.success(request, f"{saved.name} is saved.")
        return redirect("moulds")
    context = {"form": form, "mould": mould}
    return render(request, "catalog/moulds/edit.html", context, status=422 if form.errors else 200)


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def mould_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a mould, or say what is made in it."""
    mould = get_object_or_404(Mould, pk=pk)
    refusal = ""
    if request.method == "POST":
        try:
            services.mould_delete(mould_id=pk, by=request.user.get_username(), at=timezone.now())
        except InUse as error:
            refusal = str(error)
        else:
            messages.success(request, f"{mould.name} is deleted.")
            return redirect("moulds")
    context = {"mould": mould, "refusal": refusal, "users": list(mould.products.order_by("name"))}
    return render(request, "catalog/moulds/delete.html", context, status=409 if refusal else 200)
