"""Addresses of the cooling pages."""

from django.urls import URLPattern, path

from catalog.cooling.answer_views import recipe_answers
from catalog.cooling.views import product_cooling, recipe_cooling

urlpatterns: list[URLPattern] = [
    path("products/<int:pk>/cooling/", product_cooling, name="product-cooling"),
    path("recipes/<int:pk>/cooling/", recipe_cooling, name="recipe-cooling"),
    path("recipes/<int:pk>/cooling/answers/", recipe_answers, name="recipe-answers"),
]
