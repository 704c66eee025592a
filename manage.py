#!/usr/bin/env python
"""Clubshop's command line: `manage.py help` lists the commands."""

import os
import sys


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "clubshop.settings")
    if "demo" in sys.argv[1:2]:
        # The demo keeps a database of its own; the settings read this before anything opens one.
        os.environ.setdefault("CLUBSHOP_DEMO", "1")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
