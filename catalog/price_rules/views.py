"""The pages of the price rules."""

from functools import partial

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.text import capfirst
from django.utils.translation import gettext
from django.views.decorators.http import require_POST

from catalog.kitchen.selectors import kitchen
from catalog.price_rules import services
from catalog.price_rules.forms import PriceRuleForm
from catalog.price_rules.models import PriceRule
from catalog.price_rules.presenters import rule_words, rules_shown
from catalog.price_rules.selectors import covers_everything, product_categories, rule_rows
from catalog.web.access import OWNER, allow
from catalog.web.edits import Edit
from catalog.web.form_data import submitted_data
from catalog.web.money_fields import amounts
from catalog.web.undo import undoable


@allow(OWNER)
def rules(request: HttpRequest) -> HttpResponse:
    """List the price rules in order of precedence."""
    rows = rule_rows()
    context = {"rows": rules_shown(rows), "kitchen_profile": kitchen(), "covers_everything": covers_everything(rows)}
    return render(request, "catalog/price_rules/rules.html", context)


@allow(OWNER)
def rule_edit(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Create or change a price rule."""
    edit = Edit(
        data=submitted_data(request),
        load=lambda: get_object_or_404(PriceRule, pk=pk) if pk else None,
        forms=_form,
        version_of=services.rule_version,
        page=request.path,
    )
    form = edit.forms
    if form.is_bound and form.is_valid():
        data = amounts(form.cleaned_data)
        if edit.saved(lambda version: services.rule_save(rule_id=pk, data=data, version=version)):
            messages.success(request, gettext("The price rule is saved."))
            return redirect("kitchen-rules")
    rule = edit.record
    context = {"form": edit.forms, "edit": edit, "rule": rule, "words": rule_words(rule) if rule else ""}
    return render(request, "catalog/price_rules/rule.html", context, status=edit.status())


def _form(rule: PriceRule | None, data: QueryDict | None) -> PriceRuleForm:
    initial = {column: getattr(rule, column) for column in PriceRuleForm.base_fields} if rule else {}
    return PriceRuleForm(
        data,
        kitchen=kitchen(),
        categories=product_categories(),
        rule=rule,
        initial={key: value for key, value in initial.items() if value},
    )


@allow(OWNER)
@require_POST
def rule_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a price rule."""
    rule = get_object_or_404(PriceRule, pk=pk)
    words = gettext("The price rule “%(words)s”") % {"words": capfirst(rule_words(rule))}
    say = undoable(request, rule, partial(services.rule_delete, rule_id=pk), name=words)
    say(gettext("%(name)s is deleted.") % {"name": words}, reverse("kitchen-rules"))
    return redirect("kitchen-rules")
