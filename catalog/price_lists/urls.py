"""Addresses of the suppliers' price lists."""

from django.urls import URLPattern, path

from catalog.price_lists.views import price_list, price_list_apply, price_list_drop, price_lists

urlpatterns: list[URLPattern] = [
    path("price-lists/", price_lists, name="price-lists"),
    path("price-lists/<int:pk>/", price_list, name="price-list"),
    path("price-lists/<int:pk>/take-over/", price_list_apply, name="price-list-apply"),
    path("price-lists/<int:pk>/drop/", price_list_drop, name="price-list-drop"),
]
