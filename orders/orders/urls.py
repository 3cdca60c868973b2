"""Addresses of orders."""

from django.urls import URLPattern, path

from orders.orders.cancel_views import order_cancel_view
from orders.orders.views import (
    order,
    order_close_view,
    order_deliver_view,
    order_inform_view,
    order_note_view,
    order_start_view,
    orders,
)

urlpatterns: list[URLPattern] = [
    path("orders/", orders, name="orders"),
    path("orders/<int:pk>/", order, name="order"),
    path("orders/<int:pk>/start/", order_start_view, name="order-start"),
    path("orders/<int:pk>/deliver/", order_deliver_view, name="order-deliver"),
    path("orders/<int:pk>/inform/", order_inform_view, name="order-inform"),
    path("orders/<int:pk>/close/", order_close_view, name="order-close"),
    path("orders/<int:pk>/cancel/", order_cancel_view, name="order-cancel"),
    path("orders/<int:pk>/note/", order_note_view, name="order-note"),
]
