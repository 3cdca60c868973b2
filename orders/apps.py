"""From an inquiry to clean books."""

from importlib import import_module

from django.apps import AppConfig


class OrdersConfig(AppConfig):
    """Customers, inquiries, quotes, approvals, orders, invoices, payments and exports."""

    name = "orders"

    def ready(self) -> None:
        """Register what start-up checks."""
        import_module("orders.documents.checks")
