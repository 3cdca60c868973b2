"""The orders app: from an inquiry to the bookkeeper's exports."""

from importlib import import_module

from django.apps import AppConfig


class OrdersConfig(AppConfig):
    """Customers, inquiries, quotes, approvals, orders, invoices, payments and exports."""

    name = "orders"

    def ready(self) -> None:
        """Register the system checks."""
        import_module("orders.documents.checks")
