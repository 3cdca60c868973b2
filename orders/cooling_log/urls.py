"""Addresses of measured cooling."""

from django.urls import URLPattern, path

from orders.cooling_log.views import order_cooling, order_cooling_dismiss

urlpatterns: list[URLPattern] = [
    path("orders/<int:pk>/cooling/", order_cooling, name="order-cooling"),
    path("orders/<int:pk>/cooling/dismiss/", order_cooling_dismiss, name="order-cooling-dismiss"),
]
