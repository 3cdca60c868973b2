"""Addresses of products."""

from django.urls import URLPattern, path

from catalog.products.edit_views import (
    product_copy,
    product_delete,
    product_edit,
    product_figures_beside,
    product_new,
    product_use,
)
from catalog.products.picture_views import product_picture
from catalog.products.usual_views import usual_desserts
from catalog.products.views import product, products

urlpatterns: list[URLPattern] = [
    path("products/", products, name="products"),
    path("products/usual/", usual_desserts, name="usual-desserts"),
    path("products/new/", product_new, name="product-new"),
    path("products/<int:pk>/", product, name="product"),
    path("products/<int:pk>/edit/", product_edit, name="product-edit"),
    path("products/figures/", product_figures_beside, name="product-figures-new"),
    path("products/<int:pk>/figures/", product_figures_beside, name="product-figures"),
    path("products/<int:pk>/copy/", product_copy, name="product-copy"),
    path("products/<int:pk>/picture/", product_picture, name="product-picture"),
    path("products/<int:pk>/delete/", product_delete, name="product-delete"),
    path("products/<int:pk>/use/", product_use, name="product-use"),
]
