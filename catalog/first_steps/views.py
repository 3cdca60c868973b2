"""The page of starter figures."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from catalog.first_steps.forms import StarterForm
from catalog.first_steps.presenters import starter_names, step_address
from catalog.first_steps.selectors import figures
from catalog.first_steps.services import starter_figures_save, step_skip, step_take_up
from catalog.kitchen.selectors import kitchen
from catalog.web.access import OWNER, allow
from catalog.web.actions import sent_to


@require_http_methods(["GET", "HEAD", "POST"])
@allow(OWNER)
def starter_figures(request: HttpRequest) -> HttpResponse:
    """Ask for what a price is made of besides ingredients; what is there already is not asked."""
    home, there = kitchen(), figures()
    if home._state.adding:
        messages.info(request, gettext("Enter your kitchen’s name and country first."))
        return redirect("kitchen-profile")
    form = StarterForm(request.POST if request.method == "POST" else None, kitchen=home, there=there)
    if form.is_bound and form.is_valid():
        today = timezone.localdate()
        starter_figures_save(starter=form.starter(), names=starter_names(), starts=today.replace(month=1, day=1))
        messages.success(request, gettext("Your figures are saved. Each can be changed on its own page under Kitchen."))
        return redirect("day")
    context = {"form": form, "there": there, "kitchen_profile": home}
    return render(request, "catalog/first_steps/figures.html", context, status=422 if form.errors else 200)


@sent_to("day")
@allow(OWNER)
def first_step(request: HttpRequest) -> HttpResponse:
    """Skip a step, or take it up again and go to where it is done."""
    if skipped := request.POST.get("skip"):
        step_skip(code=skipped[:20])
        return redirect("day")
    code = request.POST.get("take-up", "")[:20]
    step_take_up(code=code)
    return redirect(step_address(code))
