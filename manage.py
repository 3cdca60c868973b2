#!/usr/bin/env python
"""Django's command line for Coldset; an estimate that names its Book is computed without starting Django."""

import gc
import os
import sys


def main() -> None:
    """Run a management command."""
    if sys.argv[1:2] == ["estimate"]:
        from catalog.management.headless import read_arguments, run  # only then: other commands need Django anyway

        arguments = read_arguments(sys.argv[1:])
        if arguments is not None:
            gc.disable()  # one answer, then the process ends: looking for loops in a Book would only take time
            sys.exit(run(arguments))
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    from django.core.management import execute_from_command_line  # settings must be named first

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
