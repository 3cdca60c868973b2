"""Addresses of molds."""

from django.urls import URLPattern, path

from catalog.molds.views import mold_delete, mold_edit, mold_new, molds

urlpatterns: list[URLPattern] = [
    path("molds/", molds, name="molds"),
    path("molds/new/", mold_new, name="mold-new"),
    path("molds/<int:pk>/edit/", mold_edit, name="mold-edit"),
    path("molds/<int:pk>/delete/", mold_delete, name="mold-delete"),
]
