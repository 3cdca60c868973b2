"""Addresses of inquiries and customers."""

from django.urls import URLPattern, path

from orders.inquiries.customer_views import customer, customer_edit, customers, customers_known
from orders.inquiries.views import (
    inquiries,
    inquiry_close_page,
    inquiry_copy,
    inquiry_edit,
    inquiry_new,
    inquiry_reopen_view,
    inquiry_same_day,
)

urlpatterns: list[URLPattern] = [
    path("", inquiries, name="inquiries"),
    path("new/", inquiry_new, name="inquiry-new"),
    path("same-day/", inquiry_same_day, name="inquiry-same-day"),
    path("customers/", customers, name="customers"),
    path("customers/known/", customers_known, name="customers-known"),
    path("customers/<int:pk>/", customer, name="customer"),
    path("customers/<int:pk>/edit/", customer_edit, name="customer-edit"),
    path("<int:pk>/edit/", inquiry_edit, name="inquiry-edit"),
    path("<int:pk>/close/", inquiry_close_page, name="inquiry-close"),
    path("<int:pk>/open-again/", inquiry_reopen_view, name="inquiry-reopen"),
    path("<int:pk>/copy/", inquiry_copy, name="inquiry-copy"),
]
