"""Addresses of what labor, stations, overhead and delivery cost."""

from django.urls import URLPattern, path

from catalog.rates.overhead_views import delivery, overhead, overhead_figures
from catalog.rates.views import (
    role_delete,
    role_edit,
    roles,
    station_delete,
    station_edit,
    station_out_add,
    station_out_remove,
    stations,
)

urlpatterns: list[URLPattern] = [
    path("labor/", roles, name="kitchen-roles"),
    path("labor/new/", role_edit, name="kitchen-roles-new"),
    path("labor/<int:pk>/", role_edit, name="kitchen-roles-edit"),
    path("labor/<int:pk>/delete/", role_delete, name="kitchen-roles-delete"),
    path("stations/", stations, name="kitchen-stations"),
    path("stations/new/", station_edit, name="kitchen-stations-new"),
    path("stations/<int:pk>/", station_edit, name="kitchen-stations-edit"),
    path("stations/<int:pk>/delete/", station_delete, name="kitchen-stations-delete"),
    path("stations/<int:pk>/out/", station_out_add, name="kitchen-stations-out"),
    path("stations/out/<int:pk>/remove/", station_out_remove, name="kitchen-stations-out-remove"),
    path("overhead/", overhead, name="kitchen-overhead"),
    path("overhead/rates/", overhead_figures, name="kitchen-overhead-rates"),
    path("delivery/", delivery, name="kitchen-delivery"),
]
