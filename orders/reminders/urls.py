"""Addresses of reminders."""

from django.urls import URLPattern, path

from orders.reminders.views import (
    quote_reminders,
    quote_reminders_stop,
    reminder_decide,
    reminder_skip_view,
    reminder_text,
    reminders,
    reminders_settings,
)

urlpatterns: list[URLPattern] = [
    path("reminders/", reminders, name="reminders"),
    path("reminders/settings/", reminders_settings, name="reminders-settings"),
    path("reminders/texts/<slug:kind>/", reminder_text, name="reminder-text"),
    path("reminders/<int:pk>/decide/", reminder_decide, name="reminder-decide"),
    path("reminders/<slug:kind>/<int:pk>/skip/", reminder_skip_view, name="reminder-skip"),
    path("quotes/<int:pk>/reminders/", quote_reminders, name="quote-reminders"),
    path("quotes/<int:pk>/reminders/stop/", quote_reminders_stop, name="quote-reminders-stop"),
]
