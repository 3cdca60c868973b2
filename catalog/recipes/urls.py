"""Addresses of recipes."""

from django.urls import URLPattern, path

from catalog.recipes.edit_views import recipe_copy, recipe_delete, recipe_edit, recipe_figures, recipe_new, recipe_use
from catalog.recipes.views import recipe, recipe_pan, recipe_scale, recipes

urlpatterns: list[URLPattern] = [
    path("recipes/", recipes, name="recipes"),
    path("recipes/new/", recipe_new, name="recipe-new"),
    path("recipes/figures/", recipe_figures, name="recipe-figures-new"),
    path("recipes/<int:pk>/", recipe, name="recipe"),
    path("recipes/<int:pk>/edit/", recipe_edit, name="recipe-edit"),
    path("recipes/<int:pk>/figures/", recipe_figures, name="recipe-figures"),
    path("recipes/<int:pk>/copy/", recipe_copy, name="recipe-copy"),
    path("recipes/<int:pk>/delete/", recipe_delete, name="recipe-delete"),
    path("recipes/<int:pk>/use/", recipe_use, name="recipe-use"),
    path("recipes/<int:pk>/scale/", recipe_scale, name="recipe-scale"),
    path("recipes/<int:pk>/pan/", recipe_pan, name="recipe-pan"),
]
