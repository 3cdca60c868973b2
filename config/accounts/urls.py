"""Addresses of signing in and of a person's account."""

from django.urls import URLPattern, path

from config.accounts import sign_in_views

urlpatterns: list[URLPattern] = [
    path("sign-in", sign_in_views.sign_in_page, name="sign-in"),
    path("sign-out", sign_in_views.sign_out, name="sign-out"),
]
