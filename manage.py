#!/usr/bin/env python3
"""Django's command line. `demo` and `serve` run on a field laptop's plain-http hotspot, so they
switch that on; so does `password_link` where no secret key is set, for its links must be signed as
those two sign. `version` is told here, for Django would tell its own.
"""

import os
import sys

from navclass import VERSION

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "navclass.settings")
    sys.stdout.reconfigure(
        errors="replace"
    )  # a Windows console of an old code page has no blocks for the QR code
    command = sys.argv[1] if len(sys.argv) > 1 else ""
    if command in ("demo", "serve") or (
        command == "password_link" and "NAVCLASS_SECRET_KEY" not in os.environ
    ):
        os.environ.setdefault("NAVCLASS_HOTSPOT", "yes")
    if command == "demo":
        os.environ.setdefault("NAVCLASS_DEMONSTRATION", "yes")
    if sys.argv[1:] == ["version"]:
        sys.stdout.write(f"navclass {VERSION}\n")
        sys.exit()
    from django.core.management import execute_from_command_line  # after the environment is set

    execute_from_command_line(sys.argv)
