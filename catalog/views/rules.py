"""Price rules and tax categories."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from catalog.access import OWNER, allow
from catalog.forms.rules import RuleForm, TaxCategoryForm, TaxRateForm
from catalog.models import PriceRule, TaxCategory, TaxRate
from catalog.selectors import charging as select
from catalog.selectors.kitchen import kitchen
from catalog.selectors.uses import users_in_words
from catalog.services import rules as services

_RULE = ("name", "product", "category", "customer_kind", "from_units", "margin", "minimum")


@allow(OWNER)
def rules(request: HttpRequest) -> HttpResponse:
    """List the price rules, the one that wins first."""
    rows = select.rule_rows()
    context = {"rows": rows, "kitchen_profile": kitchen(), "covers_everything": select.covers_everything(rows)}
    return render(request, "catalog/kitchen/rules.html", context)


@allow(OWNER)
def rule_edit(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Create or change a price rule."""
    rule = get_object_or_404(PriceRule, pk=pk) if pk else None
    initial = {key: getattr(rule, key) for key in _RULE} if rule else {}
    form = RuleForm(
        request.POST or None,
        kitchen=kitchen(),
        categories=select.product_categories(),
        rule=rule,
        initial={key: value for key, value in initial.items() if value},
    )
    if request.method == "POST" and form.is_valid():
        services.rule_save(rule_id=pk, facts=form.cleaned_data)
        messages.success(request, "The price rule is saved.")
        return redirect("kitchen-rules")
    words = select.rule_words(rule) if rule else ""
    return render(request, "catalog/kitchen/rule.html", {"form": form, "rule": rule, "words": words})


@allow(OWNER)
@require_POST
def rule_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a price rule."""
    get_object_or_404(PriceRule, pk=pk)
    services.rule_delete(rule_id=pk)
    messages.success(request, "The price rule is deleted.")
    return redirect("kitchen-rules")


@allow(OWNER)
def taxes(request: HttpRequest) -> HttpResponse:
    """List the tax categories with the rate in force."""
    context = {"rows": select.tax_rows(today=timezone.localdate()), "kitchen_profile": kitchen()}
    return render(request, "catalog/kitchen/taxes.html", context)


@allow(OWNER)
def tax_edit(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Create or change a tax category; its rates stand below on the same page."""
    tax = get_object_or_404(TaxCategory, pk=pk) if pk else None
    initial = {"name": str(tax), "untdid": tax.untdid, "exempt_reason": tax.exempt_reason} if tax else {}
    taxed = tax is not None and any(rate.rate for rate in tax.rates.all())
    form = TaxCategoryForm(request.POST or None, taxed=taxed, initial=initial)
    if request.method == "POST" and form.is_valid():
        saved = services.tax_save(tax_id=pk, **form.cleaned_data)
        messages.success(request, f"{saved} is saved." + ("" if tax else " Now enter its rate."))
        return redirect("kitchen-taxes-edit", pk=saved.pk)
    return render(request, "catalog/kitchen/tax.html", _tax_context(tax, form, _rate_form(tax)))


def _rate_form(tax: TaxCategory | None, data: Any = None) -> TaxRateForm | None:
    if tax is None:
        return None
    return TaxRateForm(data, begun=frozenset(rate.starts for rate in tax.rates.all()), untdid=tax.untdid)


def _tax_context(tax: TaxCategory | None, form: TaxCategoryForm, rate_form: TaxRateForm | None) -> dict[str, Any]:
    return {
        "tax": tax,
        "form": form,
        "rate_form": rate_form,
        "row": select.tax_row(tax, today=timezone.localdate()) if tax else None,
        "users": users_in_words(tax) if tax else "",
    }


@allow(OWNER)
@require_POST
def rate_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a rate to a tax category."""
    tax = get_object_or_404(TaxCategory, pk=pk)
    form = _rate_form(tax, request.POST)
    if form is not None and form.is_valid():
        services.rate_add(tax_id=pk, **form.cleaned_data)
        messages.success(request, "The rate is added.")
        return redirect("kitchen-taxes-edit", pk=pk)
    about = TaxCategoryForm(initial={"name": str(tax), "untdid": tax.untdid, "exempt_reason": tax.exempt_reason})
    return render(request, "catalog/kitchen/tax.html", _tax_context(tax, about, form))


@allow(OWNER)
@require_POST
def rate_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take out a rate that has not been used."""
    rate = get_object_or_404(TaxRate, pk=pk)
    services.rate_remove(rate_id=pk, today=timezone.localdate())
    messages.success(request, "The rate is taken out.")
    return redirect("kitchen-taxes-edit", pk=rate.category_id)


@allow(OWNER)
@require_POST
def tax_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a tax category nothing needs."""
    tax = get_object_or_404(TaxCategory, pk=pk)
    services.tax_delete(tax_id=pk)
    messages.success(request, f"{tax} is deleted.")
    return redirect("kitchen-taxes")
