"""Addresses of vessels."""

from django.urls import URLPattern, path

from catalog.vessels.views import vessel_delete, vessel_edit, vessel_new, vessels

urlpatterns: list[URLPattern] = [
    path("vessels/", vessels, name="vessels"),
    path("vessels/new/", vessel_new, name="vessel-new"),
    path("vessels/<int:pk>/edit/", vessel_edit, name="vessel-edit"),
    path("vessels/<int:pk>/delete/", vessel_delete, name="vessel-delete"),
]
