"""The project itself as an app: commands, template tags and checks that stand above the other apps."""

from django.apps import AppConfig


class ConfigConfig(AppConfig):
    """Holds what serves every app."""

    name = "config"
