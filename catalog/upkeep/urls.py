"""Addresses of the page about mail, files and backups, and of the health checks."""

from django.urls import URLPattern, path

from catalog.upkeep.views import health_live, health_ready, upkeep_page

urlpatterns: list[URLPattern] = [
    path("kitchen/upkeep/", upkeep_page, name="kitchen-upkeep"),
    path("health/live", health_live, name="health-live"),
    path("health/ready", health_ready, name="health-ready"),
    path("health", health_live, name="health"),
]
