"""Others' numbers: fixtures/published/*.csv, whose first line names the source."""

import csv
from pathlib import Path

FOLDER = Path(__file__).resolve().parent.parent / "fixtures" / "published"


def rows(name, **wanted):
    """The rows of a file, those whose columns have the wanted values."""
    with open(FOLDER / f"{name}.csv", encoding="utf-8", newline="") as stream:
        assert stream.readline().startswith("# "), "the first line names the source"
        found = [
            row
            for row in csv.DictReader(stream)
            if all(row[column] == value for column, value in wanted.items())
        ]
    assert found, f"no rows in {name}.csv with {wanted}"
    return found
