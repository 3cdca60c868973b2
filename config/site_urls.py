"""Addresses of sign-in, errors, and the read-only admin."""

from django.contrib import admin
from django.urls import URLPattern, URLResolver, path

from config import site_views

urlpatterns: list[URLPattern | URLResolver] = [
    path("sign-in", site_views.sign_in_page, name="sign-in"),
    path("sign-out", site_views.sign_out, name="sign-out"),
    path("cautions", site_views.cautions, name="cautions"),
    path("robots.txt", site_views.robots, name="robots"),
    path("favicon.ico", site_views.favicon, name="favicon"),
    path("admin/", admin.site.urls),
]
