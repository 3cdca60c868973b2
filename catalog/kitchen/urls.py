"""Addresses of the kitchen's profile and hours."""

from django.urls import URLPattern, path

from catalog.kitchen.bank_views import bank
from catalog.kitchen.cancellation_views import cancellation
from catalog.kitchen.hours_views import hours
from catalog.kitchen.logo_views import logo
from catalog.kitchen.payment_schedule_views import payment_schedule
from catalog.kitchen.views import profile

urlpatterns: list[URLPattern] = [
    path("", profile, name="kitchen-profile"),
    path("hours/", hours, name="kitchen-hours"),
    path("cancellation/", cancellation, name="kitchen-cancellation"),
    path("bank/", bank, name="kitchen-bank"),
    path("payments/", payment_schedule, name="kitchen-payments"),
    path("logo/", logo, name="kitchen-logo"),
]
