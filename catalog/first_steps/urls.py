"""Addresses of a new kitchen's first steps."""

from django.urls import URLPattern, path

from catalog.first_steps.views import starter_figures

urlpatterns: list[URLPattern] = [path("figures/", starter_figures, name="first-figures")]
