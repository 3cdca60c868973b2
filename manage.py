#!/usr/bin/env python
"""Django's command line for Coldset."""

import os
import sys


def main() -> None:
    """Run a management command."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    from django.core.management import execute_from_command_line  # settings must be named first

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
