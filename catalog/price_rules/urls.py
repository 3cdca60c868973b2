"""Addresses of the price rules."""

from django.urls import URLPattern, path

from catalog.price_rules.views import rule_delete, rule_edit, rules

urlpatterns: list[URLPattern] = [
    path("price-rules/", rules, name="kitchen-rules"),
    path("price-rules/new/", rule_edit, name="kitchen-rules-new"),
    path("price-rules/<int:pk>/", rule_edit, name="kitchen-rules-edit"),
    path("price-rules/<int:pk>/delete/", rule_delete, name="kitchen-rules-delete"),
]
