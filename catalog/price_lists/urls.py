"""Addresses of the suppliers' price lists."""

from django.urls import URLPattern, path

from catalog.price_lists import views

urlpatterns: list[URLPattern] = [
    path("price-lists/", views.price_lists, name="price-lists"),
    path("price-lists/<int:pk>/", views.price_list, name="price-list"),
    path("price-lists/<int:pk>/columns/", views.price_list_columns, name="price-list-columns"),
    path("price-lists/<int:pk>/starts/", views.price_list_starts, name="price-list-starts"),
    path("price-lists/<int:pk>/correct/", views.price_list_correct, name="price-list-correct"),
    path("price-lists/<int:pk>/import/", views.price_list_import, name="price-list-import"),
    path("price-lists/<int:pk>/undo/", views.price_list_undo, name="price-list-undo"),
    path("price-lists/<int:pk>/drop/", views.price_list_drop, name="price-list-drop"),
]
