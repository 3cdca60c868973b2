"""Addresses of the day and of the kitchen's sheets."""

from django.urls import URLPattern, path

from orders.production.day_views import day, messages_unread
from orders.production.procedure_views import procedure_file, procedure_pdf, procedure_view
from orders.production.sheet_views import (
    order_batches,
    sheet_cold,
    sheet_handover,
    sheet_labels,
    sheet_oven,
    sheet_prep,
    sheet_recipes,
    sheet_shopping,
    sheets,
)

urlpatterns: list[URLPattern] = [
    path("", day, name="day"),
    path("messages/", messages_unread, name="messages-unread"),
    path("orders/<int:pk>/batches/", order_batches, name="order-batches"),
    path("sheets/", sheets, name="sheets"),
    path("sheets/shopping/", sheet_shopping, name="sheet-shopping"),
    path("sheets/recipes/", sheet_recipes, name="sheet-recipes"),
    path("sheets/prep/", sheet_prep, name="sheet-prep"),
    path("sheets/oven/", sheet_oven, name="sheet-oven"),
    path("sheets/cold/", sheet_cold, name="sheet-cold"),
    path("sheets/hand-over/", sheet_handover, name="sheet-handover"),
    path("sheets/labels/", sheet_labels, name="sheet-labels"),
    path("sheets/procedure/", procedure_view, name="procedure"),
    path("sheets/procedure/pdf/", procedure_pdf, name="procedure-pdf"),
    path("sheets/procedure/files/<int:pk>/", procedure_file, name="procedure-file"),
]
