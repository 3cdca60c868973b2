"""Addresses of a customer's personal data."""

from django.urls import URLPattern, path

from orders.personal_data.views import personal_data, personal_data_export, personal_data_file

urlpatterns: list[URLPattern] = [
    path("customers/<int:pk>/personal-data/", personal_data, name="customer-personal-data"),
    path("customers/<int:pk>/personal-data/export/", personal_data_export, name="customer-personal-data-export"),
    path("customers/<int:pk>/personal-data/files/<int:file>/", personal_data_file, name="customer-personal-data-file"),
]
