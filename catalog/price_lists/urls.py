"""Addresses of the suppliers' price lists."""

from django.urls import URLPattern, path

from catalog.price_lists.views import price_list, price_list_drop, price_list_import, price_lists

urlpatterns: list[URLPattern] = [
    path("price-lists/", price_lists, name="price-lists"),
    path("price-lists/<int:pk>/", price_list, name="price-list"),
    path("price-lists/<int:pk>/import/", price_list_import, name="price-list-import"),
    path("price-lists/<int:pk>/drop/", price_list_drop, name="price-list-drop"),
]
