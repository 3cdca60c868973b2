"""Addresses of the day and of orders."""

from django.urls import URLPattern, path

from orders.views import day, invoices, orders, payments

urlpatterns: list[URLPattern] = [
    path("", day.day, name="day"),
    path("orders/", orders.orders, name="orders"),
    path("orders/<int:pk>/", orders.order, name="order"),
    path("orders/<int:pk>/start/", orders.order_start_view, name="order-start"),
    path("orders/<int:pk>/hand-over/", orders.order_hand_over_view, name="order-hand-over"),
    path("orders/<int:pk>/close/", orders.order_close_view, name="order-close"),
    path("orders/<int:pk>/cancel/", orders.order_cancel_view, name="order-cancel"),
    path("orders/<int:pk>/note/", orders.order_note_view, name="order-note"),
    path("orders/<int:pk>/pay/", payments.order_pay, name="order-pay"),
    path("orders/<int:pk>/invoice/", invoices.order_invoice, name="order-invoice"),
]
