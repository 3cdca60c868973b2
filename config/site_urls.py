"""Addresses of sign-in, errors, health, and the read-only admin."""

from django.contrib import admin
from django.urls import URLPattern, URLResolver, path

from config import site_views

urlpatterns: list[URLPattern | URLResolver] = [
    path("cautions", site_views.cautions, name="cautions"),
    path("health", site_views.health, name="health"),
    path("robots.txt", site_views.robots, name="robots"),
    path("favicon.ico", site_views.favicon, name="favicon"),
    path("admin/", admin.site.urls),
]
