"""Addresses of measured cooling."""

from django.urls import URLPattern, path

from orders.cooling_log.views import order_cooling_records

urlpatterns: list[URLPattern] = [
    path("orders/<int:pk>/cooling-records/", order_cooling_records, name="order-cooling-records"),
]
