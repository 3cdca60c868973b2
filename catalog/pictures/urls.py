"""Addresses of the files of pictures."""

from django.urls import URLPattern, path

from catalog.pictures.views import picture_file

urlpatterns: list[URLPattern] = [
    path("<slug:sha256>/<int:width>.<slug:suffix>", picture_file, name="picture-file"),
]
