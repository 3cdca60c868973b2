"""Addresses of cautions and of what machines ask for."""

from django.urls import URLPattern, path

from config import site_views

urlpatterns: list[URLPattern] = [
    path("cautions", site_views.cautions, name="cautions"),
    path("robots.txt", site_views.robots, name="robots"),
    path("favicon.ico", site_views.favicon, name="favicon"),
]
