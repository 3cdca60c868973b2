"""Prices of packs that are on record: corrected, removed, ended."""

from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext

from catalog.kitchen.selectors import kitchen
from catalog.pantry import services
from catalog.pantry.forms import PackPriceForm
from catalog.pantry.models import Pack
from catalog.pantry.price_changes import KEY, change_stored, packs_stored
from catalog.records.undo import Pointer
from catalog.web.access import OWNER, allow
from catalog.web.display import amount, day_alone, measure
from catalog.web.edits import Edit
from catalog.web.form_data import submitted_data
from catalog.web.undo import undoable


def price_changed(
    request: HttpRequest,
    pack: Pack,
    packs: Iterable[Mapping[str, Any]],
    *,
    before: Decimal | None,
    after: Decimal | None,
    say: Callable[[str, str], None] | None = None,
) -> HttpResponse:
    """Say what was changed, and lead to the ingredient's page with what it does to the open quotes."""
    request.session[KEY] = change_stored(pack, packs, before=before, after=after)
    words = (
        gettext("%(name)s, %(size)s: %(price)s from %(day)s.")
        if after is not None
        else gettext("%(name)s, %(size)s: the price of %(price)s is removed.")
    )
    price = amount(before if after is None else after, kitchen().currency)
    values = {"name": pack.ingredient.name, "size": measure(pack.size), "price": price, "day": day_alone(pack.starts)}
    page = reverse("ingredient", args=[pack.ingredient_id])
    if say is None:
        messages.success(request, words % values)
    else:
        say(words % values, page)
    return redirect(f"{page}?priced")


@allow(OWNER)
def pack_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct a price that was recorded wrongly, or remove it."""
    home = kitchen()
    edit: Edit[Pack, PackPriceForm] = Edit(
        data=submitted_data(request),
        load=lambda: get_object_or_404(Pack.objects.select_related("ingredient", "supplier"), pk=pk),
        forms=partial(_form, currency=home.currency),
        version_of=services.pack_version,
        page=reverse("ingredient", args=[get_object_or_404(Pack, pk=pk).ingredient_id]),
    )
    form = edit.forms
    removes = request.POST.get("do") == "remove"
    if form.is_bound and (removes or form.is_valid()):
        changed = _removed(request, edit) if removes else _corrected(request, edit)
        if changed is not None:
            return changed
    context = {"edit": edit, "form": form, "pack": edit.record, "kitchen_profile": home}
    return render(request, "catalog/pantry/pack.html", context, status=edit.status(422 if form.errors else 200))


def _corrected(request: HttpRequest, edit: Edit[Pack, PackPriceForm]) -> HttpResponse | None:
    pack, price = edit.record, edit.forms.cleaned_data["price"].amount
    before, packs = pack.price, packs_stored(pack.ingredient)
    if edit.saved(lambda version: services.pack_correct(pack_id=pack.pk, price=price, version=version)) is None:
        return None
    return price_changed(request, pack, packs, before=before, after=price)


def _removed(request: HttpRequest, edit: Edit[Pack, PackPriceForm]) -> HttpResponse | None:
    """Remove a price; the one it had ended counts again, until that is undone."""
    pack, earlier = edit.record, services.pack_before(edit.record)
    before, packs = pack.price, packs_stored(pack.ingredient)
    ended = [] if earlier is None else [Pointer(earlier, "ends", after=pack.ends)]

    def remove(version: str) -> Callable[[str, str], None]:
        delete = partial(services.pack_remove, pack_id=pack.pk, version=version)
        return undoable(request, pack, delete, pointers=ended)

    say = edit.saved(remove)
    return None if say is None else price_changed(request, pack, packs, before=before, after=None, say=say)


def _form(pack: Pack, data: QueryDict | None, *, currency: str) -> PackPriceForm:
    return PackPriceForm(data, currency=currency, before=pack.price, initial={"price": pack.price})


@allow(OWNER)
def pack_end(request: HttpRequest, pk: int) -> HttpResponse:
    """End a pack's price with today: it is not bought any more."""
    pack = get_object_or_404(Pack, pk=pk)
    if request.method == "POST":
        last_day = max(pack.starts, timezone.localdate())
        services.pack_end(pack_id=pk, last_day=last_day)
        values = {"size": measure(pack.size), "day": day_alone(last_day)}
        messages.success(request, gettext("%(size)s: no longer bought after %(day)s.") % values)
    return redirect("ingredient", pk=pack.ingredient_id)
