"""Addresses of the files of pictures."""

from django.urls import URLPattern, re_path

from catalog.pictures.views import picture_file

urlpatterns: list[URLPattern] = [
    re_path(
        r"^(?P<sha256>[0-9a-f]{64})/(?P<width>[1-9][0-9]{0,3})\.(?P<suffix>jpg|png)$", picture_file, name="picture-file"
    ),
]
