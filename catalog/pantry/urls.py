"""Addresses of ingredients, packs and suppliers."""

from django.urls import URLPattern, path

from catalog.pantry.common_views import common_ingredients_page
from catalog.pantry.label_views import labels_page
from catalog.pantry.pack_views import pack_edit, pack_end
from catalog.pantry.supplier_views import supplier_edit, supplier_remove, suppliers
from catalog.pantry.views import ingredient_delete, ingredient_edit, ingredient_list, pack_add

urlpatterns: list[URLPattern] = [
    path("ingredients/", ingredient_list, name="ingredients"),
    path("ingredients/common/", common_ingredients_page, name="ingredients-common"),
    path("ingredients/labels/", labels_page, name="ingredient-labels"),
    path("ingredients/new/", ingredient_edit, name="ingredient-new"),
    path("ingredients/<int:pk>/", ingredient_edit, name="ingredient"),
    path("ingredients/<int:pk>/delete/", ingredient_delete, name="ingredient-delete"),
    path("ingredients/<int:pk>/packs/", pack_add, name="pack-add"),
    path("packs/<int:pk>/", pack_edit, name="pack"),
    path("packs/<int:pk>/end/", pack_end, name="pack-end"),
    path("suppliers/", suppliers, name="suppliers"),
    path("suppliers/new/", supplier_edit, name="supplier-new"),
    path("suppliers/<int:pk>/", supplier_edit, name="supplier"),
    path("suppliers/<int:pk>/delete/", supplier_remove, name="supplier-delete"),
]
