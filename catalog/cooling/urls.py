"""Addresses of the cooling pages."""

from django.urls import URLPattern, path

from catalog.cooling.views import product_cooling

urlpatterns: list[URLPattern] = [
    path("products/<int:pk>/cooling/", product_cooling, name="product-cooling"),
]
