#!/usr/bin/env python3
"""Django's command line. `demo` and `serve` run on a field laptop's plain-http hotspot, so they
switch that on.
"""

import os
import sys

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "navclass.settings")
    sys.stdout.reconfigure(
        errors="replace"
    )  # a Windows console of an old code page has no blocks for the QR code
    if sys.argv[1:2] in (["demo"], ["serve"]):
        os.environ.setdefault("NAVCLASS_HOTSPOT", "yes")
    from django.core.management import execute_from_command_line  # after the environment is set

    execute_from_command_line(sys.argv)
