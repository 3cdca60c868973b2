"""A read-only admin for support; it is never a second way to change data."""

from typing import Any

from django.contrib import admin
from django.http import HttpRequest


class ReadOnlyAdmin(admin.ModelAdmin):  # type: ignore[type-arg]  # one class for models of every kind
    """Shows rows to superusers and changes none."""

    list_per_page = 50
    show_full_result_count = False
    actions = None

    def _is_open(self, request: HttpRequest) -> bool:
        return bool(request.user.is_active and request.user.is_superuser)

    def has_module_permission(self, request: HttpRequest) -> bool:
        """Return whether the app is listed."""
        return self._is_open(request)

    def has_view_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Return whether a row may be viewed."""
        return self._is_open(request)

    def has_add_permission(self, request: HttpRequest) -> bool:
        """Refuse: rows are made by services."""
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Refuse: rows are changed by services."""
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Refuse: issued documents and their trail stay."""
        return False
