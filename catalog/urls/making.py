"""Addresses of what the kitchen makes."""

from django.urls import URLPattern, path

from catalog.views import cooling, moulds, products, products_edit, recipes, recipes_edit

urlpatterns: list[URLPattern] = [
    path("", recipes.catalogue, name="catalogue"),
    path("recipes/", recipes.recipes, name="recipes"),
    path("recipes/new/", recipes_edit.recipe_new, name="recipe-new"),
    path("recipes/figures/", recipes_edit.recipe_figures, name="recipe-figures-new"),
    path("recipes/<int:pk>/", recipes.recipe, name="recipe"),
    path("recipes/<int:pk>/edit/", recipes_edit.recipe_edit, name="recipe-edit"),
    path("recipes/<int:pk>/figures/", recipes_edit.recipe_figures, name="recipe-figures"),
    path("recipes/<int:pk>/copy/", recipes_edit.recipe_copy, name="recipe-copy"),
    path("recipes/<int:pk>/delete/", recipes_edit.recipe_delete, name="recipe-delete"),
    path("recipes/<int:pk>/use/", recipes_edit.recipe_use, name="recipe-use"),
    path("recipes/<int:pk>/scale/", recipes.recipe_scale, name="recipe-scale"),
    path("recipes/<int:pk>/pan/", recipes.recipe_pan, name="recipe-pan"),
    path("products/", products.products, name="products"),
    path("products/new/", products_edit.product_new, name="product-new"),
    path("products/<int:pk>/", products.product, name="product"),
    path("products/<int:pk>/cooling/", cooling.product_cooling, name="product-cooling"),
    path("products/<int:pk>/edit/", products_edit.product_edit, name="product-edit"),
    path("products/figures/", products_edit.product_figures_beside, name="product-figures-new"),
    path("products/<int:pk>/figures/", products_edit.product_figures_beside, name="product-figures"),
    path("products/<int:pk>/copy/", products_edit.product_copy, name="product-copy"),
    path("products/<int:pk>/delete/", products_edit.product_delete, name="product-delete"),
    path("products/<int:pk>/use/", products_edit.product_use, name="product-use"),
    path("moulds/", moulds.moulds, name="moulds"),
    path("moulds/new/", moulds.mould_new, name="mould-new"),
    path("moulds/<int:pk>/edit/", moulds.mould_edit, name="mould-edit"),
    path("moulds/<int:pk>/delete/", moulds.mould_delete, name="mould-delete"),
]
