"""Makes the requests, and says what it found: see the package."""

import argparse
import io
import logging
import os
import sys
import tempfile
import time
from collections import Counter

SHOWN = 20  # findings that are printed whole


def _prepared(folder):
    """Django on an empty database in a folder, with cheap passwords."""
    os.environ.update(NAVCLASS_DATA=folder, NAVCLASS_HOTSPOT="yes", NAVCLASS_SECRET_KEY="x" * 60)
    os.environ["DJANGO_SETTINGS_MODULE"] = "navclass.settings"
    import django
    from django.conf import settings

    django.setup()
    (console,) = logging.getLogger().handlers  # writes a line for each event, which nobody reads
    console.setStream(io.StringIO())
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    from django.test.utils import setup_test_environment

    setup_test_environment()


def main():
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz")
    parser.add_argument("--requests", type=int, default=10_000)
    parser.add_argument("--minutes", type=float, default=0, help="so long instead of so many")
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--only", type=int, help="the request of this number alone")
    chosen = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        _prepared(folder)
        from tests.fuzz.making import found_by
        from tests.fuzz.world import build

        numbers = [chosen.only] if chosen.only is not None else _numbers(chosen)
        return _reported(found_by(build(), chosen.seed, numbers))


def _numbers(chosen):
    """Of the requests to make, as long or as many as were chosen; says at the end how many."""
    end = time.monotonic() + 60 * chosen.minutes
    number = 0
    while time.monotonic() < end if chosen.minutes else number < chosen.requests:
        yield number
        number += 1
    print(f"{number} requests, seed {chosen.seed}.", flush=True)


def _reported(found):
    """Print what was found, each place in the program once; 1 where there was something."""
    places = Counter()
    for number, asked, trouble in found:
        place = _place_of(trouble)
        places[place] += 1
        if places[place] == 1 and len(places) <= SHOWN:
            shown = f"{asked.role} {asked.method} {asked.path[:200]} {str(asked.more)[:600]}"
            print(f"--- {number}: {shown}\n{trouble[-2500:]}\n", flush=True)
    for place, times in places.most_common():
        print(f"{times:6d}  {place}")
    print(f"{places.total()} with trouble.")
    return 1 if places else 0


def _place_of(trouble):
    """Where in the program trouble came from, so that it is shown once."""
    lines = [line.strip() for line in trouble.splitlines()]
    ours = [line for line in lines if line.startswith("File") and "/exercises/" in line]
    return ours[-1] if ours else lines[-1][:120]


if __name__ == "__main__":
    sys.exit(main())
