"""Addresses of what is bought."""

from django.urls import path

from catalog.views import ingredients, price_lists, suppliers

urlpatterns = [
    path("ingredients/", ingredients.ingredient_list, name="ingredients"),
    path("ingredients/new/", ingredients.ingredient_edit, name="ingredient-new"),
    path("ingredients/<int:pk>/", ingredients.ingredient_edit, name="ingredient"),
    path("ingredients/<int:pk>/delete/", ingredients.ingredient_delete, name="ingredient-delete"),
    path("ingredients/<int:pk>/packs/", ingredients.pack_add, name="pack-add"),
    path("packs/<int:pk>/end/", ingredients.pack_end, name="pack-end"),
    path("suppliers/", suppliers.suppliers, name="suppliers"),
    path("suppliers/new/", suppliers.supplier_edit, name="supplier-new"),
    path("suppliers/<int:pk>/", suppliers.supplier_edit, name="supplier"),
    path("suppliers/<int:pk>/delete/", suppliers.supplier_remove, name="supplier-delete"),
    path("price-lists/", price_lists.price_lists, name="price-lists"),
    path("price-lists/<int:pk>/", price_lists.price_list, name="price-list"),
    path("price-lists/<int:pk>/take-over/", price_lists.price_list_apply, name="price-list-apply"),
    path("price-lists/<int:pk>/drop/", price_lists.price_list_drop, name="price-list-drop"),
]
