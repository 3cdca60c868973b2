"""Addresses of spreadsheets that are imported and exported."""

from django.urls import URLPattern, path

from catalog.spreadsheets import kitchen_views, views

urlpatterns: list[URLPattern] = [
    path("spreadsheets/", views.spreadsheets, name="spreadsheets"),
    path("spreadsheets/export/kitchen.json", kitchen_views.kitchen_export, name="kitchen-export"),
    path("spreadsheets/kitchen/", kitchen_views.kitchen_import, name="kitchen-import"),
    path("spreadsheets/export/<slug:holds>.<slug:kind>", views.spreadsheet_export, name="spreadsheet-export"),
    path("spreadsheets/<int:pk>/", views.spreadsheet, name="spreadsheet"),
    path("spreadsheets/<int:pk>/sheet/", views.spreadsheet_sheet, name="spreadsheet-sheet"),
    path("spreadsheets/<int:pk>/columns/", views.spreadsheet_columns, name="spreadsheet-columns"),
    path("spreadsheets/<int:pk>/correct/", views.spreadsheet_correct, name="spreadsheet-correct"),
    path("spreadsheets/<int:pk>/import/", views.spreadsheet_import, name="spreadsheet-import"),
    path("spreadsheets/<int:pk>/undo/", views.spreadsheet_undo, name="spreadsheet-undo"),
    path("spreadsheets/<int:pk>/drop/", views.spreadsheet_drop, name="spreadsheet-drop"),
]
