"""Address of undoing a delete."""

from django.urls import URLPattern, path

from catalog.book.undo_views import undo_delete

urlpatterns: list[URLPattern] = [
    path("undo/<slug:key>/", undo_delete, name="undo-delete"),
]
