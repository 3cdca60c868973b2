"""From an enquiry to clean books."""

from django.apps import AppConfig


class OrdersConfig(AppConfig):
    """Customers, enquiries, quotes, approvals, orders, invoices, payments and exports."""

    name = "orders"
