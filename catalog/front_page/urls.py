"""The address of the catalog's front page."""

from django.urls import URLPattern, path

from catalog.front_page.views import catalog

urlpatterns: list[URLPattern] = [path("", catalog, name="catalog")]
