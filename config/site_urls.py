"""Sign-in, errors, health."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
