"""Addresses of the kitchen's sheets."""

from django.urls import URLPattern, path

from orders.views import sheets

urlpatterns: list[URLPattern] = [
    path("", sheets.sheets, name="sheets"),
    path("shopping/", sheets.sheet_shopping, name="sheet-shopping"),
    path("recipes/", sheets.sheet_recipes, name="sheet-recipes"),
    path("prep/", sheets.sheet_prep, name="sheet-prep"),
    path("oven/", sheets.sheet_oven, name="sheet-oven"),
    path("cold/", sheets.sheet_cold, name="sheet-cold"),
    path("hand-over/", sheets.sheet_handover, name="sheet-handover"),
]
