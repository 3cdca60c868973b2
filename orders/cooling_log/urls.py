"""Addresses of measured cooling."""

from django.urls import URLPattern, path

from orders.cooling_log.views import order_cooling

urlpatterns: list[URLPattern] = [
    path("orders/<int:pk>/cooling/", order_cooling, name="order-cooling"),
]
