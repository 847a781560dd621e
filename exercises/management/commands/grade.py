"""manage.py grade: a class held on paper, graded from three tables, without a database."""

import os
import sys
import tempfile
from datetime import date
from pathlib import Path

from django.core.management.base import BaseCommand

from exercises.exchange import tables
from exercises.exchange.batch import grade_tables


class Command(BaseCommand):
    """Arguments in, result tables out. Exit status 2 and nothing written when anything is
    wrong.
    """

    help = (
        "Grade a class from points.csv, course.csv and readings.csv. Columns of course.csv: "
        "task, kind, from, to, north, full_credit_deg, part_credit_deg; by kind also given_deg, "
        "given_north "
        "(follow, convert, back), more (fix, intersect: further points, with spaces), legs "
        "(walk: 040 60; 130 45), full_credit_m, part_credit_m (places). readings.csv may have "
        "question and reply (needle_end: marked, other; arithmetic: added, subtracted, nothing; "
        "aimed_at: a target)."
    )
    requires_system_checks = []

    def add_arguments(self, parser):
        """Files, the date of the class, and the folder for the results."""
        for name in ("points", "course", "readings"):
            parser.add_argument(f"--{name}", type=Path, required=True)
        parser.add_argument("--date", required=True, help="day of the class, such as 2026-10-03")
        parser.add_argument("--out", type=Path, required=True, help="folder for the results")
        parser.add_argument(
            "--grid", type=int, default=None, help="EPSG code of the grid; UTM without it"
        )

    def handle(self, *args, points, course, readings, out, **options):
        """Grade, then write all tables or none."""
        try:
            on = date.fromisoformat(options["date"])
        except ValueError:
            self._refuse(f"--date: “{options['date']}” is not a date. Write it as 2026-10-03.")
        try:
            results = grade_tables(points, course, readings, on=on, grid_epsg=options["grid"])
            _write_all(out, results)
        except (tables.BadTable, OSError) as error:
            self._refuse(str(error))
        self.stdout.write(
            f"{len(results['graded.csv'][1])} readings graded: "
            + ", ".join(str(out / name) for name in results)
        )

    def _refuse(self, message):
        self.stderr.write(message)
        sys.exit(2)


def _write_all(out, results):
    """Write beside the place first, then move: a disk that fills leaves no half result."""
    out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=out) as folder:
        for name, (columns, records) in results.items():
            with open(Path(folder, name), "w", encoding="utf-8", newline="") as stream:
                tables.write(stream, columns, records)
        for name in results:
            os.replace(Path(folder, name), out / name)
