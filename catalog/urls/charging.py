"""Addresses of the kitchen's own pages."""

from django.urls import URLPattern, path

from catalog.views import charging, overhead, profile, rules

urlpatterns: list[URLPattern] = [
    path("", profile.profile, name="kitchen-profile"),
    path("hours/", profile.hours, name="kitchen-hours"),
    path("labour/", charging.people, name="kitchen-people"),
    path("labour/new/", charging.role_edit, name="kitchen-people-new"),
    path("labour/<int:pk>/", charging.role_edit, name="kitchen-people-edit"),
    path("labour/<int:pk>/delete/", charging.role_delete, name="kitchen-people-delete"),
    path("stations/", charging.stations, name="kitchen-stations"),
    path("stations/new/", charging.station_edit, name="kitchen-stations-new"),
    path("stations/<int:pk>/", charging.station_edit, name="kitchen-stations-edit"),
    path("stations/<int:pk>/delete/", charging.station_delete, name="kitchen-stations-delete"),
    path("overhead/", overhead.overhead, name="kitchen-overhead"),
    path("overhead/rates/", overhead.overhead_rates, name="kitchen-overhead-rates"),
    path("delivery/", overhead.delivery, name="kitchen-delivery"),
    path("price-rules/", rules.rules, name="kitchen-rules"),
    path("price-rules/new/", rules.rule_edit, name="kitchen-rules-new"),
    path("price-rules/<int:pk>/", rules.rule_edit, name="kitchen-rules-edit"),
    path("price-rules/<int:pk>/delete/", rules.rule_delete, name="kitchen-rules-delete"),
    path("taxes/", rules.taxes, name="kitchen-taxes"),
    path("taxes/new/", rules.tax_edit, name="kitchen-taxes-new"),
    path("taxes/<int:pk>/", rules.tax_edit, name="kitchen-taxes-edit"),
    path("taxes/<int:pk>/delete/", rules.tax_delete, name="kitchen-taxes-delete"),
    path("taxes/<int:pk>/rates/", rules.rate_add, name="kitchen-taxes-rate"),
    path("taxes/rates/<int:pk>/delete/", rules.rate_remove, name="kitchen-taxes-rate-delete"),
]
