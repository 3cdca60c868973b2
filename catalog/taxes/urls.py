"""Addresses of the tax categories."""

from django.urls import URLPattern, path

from catalog.taxes.views import rate_add, rate_remove, tax_delete, tax_edit, taxes

urlpatterns: list[URLPattern] = [
    path("taxes/", taxes, name="kitchen-taxes"),
    path("taxes/new/", tax_edit, name="kitchen-taxes-new"),
    path("taxes/<int:pk>/", tax_edit, name="kitchen-taxes-edit"),
    path("taxes/<int:pk>/delete/", tax_delete, name="kitchen-taxes-delete"),
    path("taxes/<int:pk>/rates/", rate_add, name="kitchen-taxes-rate"),
    path("taxes/rates/<int:pk>/delete/", rate_remove, name="kitchen-taxes-rate-delete"),
]
