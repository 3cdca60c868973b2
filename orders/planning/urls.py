"""Addresses of the plan: what fits in beside what is promised."""

from django.urls import URLPattern, path

from orders.planning.views import quote_window

urlpatterns: list[URLPattern] = [path("quotes/<int:pk>/window/", quote_window, name="quote-window")]
