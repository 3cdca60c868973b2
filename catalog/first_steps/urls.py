"""Addresses of a new kitchen's first steps."""

from django.urls import URLPattern, path

from catalog.first_steps.views import first_step, starter_figures

urlpatterns: list[URLPattern] = [
    path("figures/", starter_figures, name="first-figures"),
    path("first-steps/", first_step, name="first-step"),
]
