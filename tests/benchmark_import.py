"""How long points take to come in from a file: `python -m tests.benchmark_import`.

A file of 500 rows goes through the importer's steps at a site of 500 points: read into a table,
told what each row means (`rows.interpret`), shown on the page for a chosen file, shown again when
the page comes back, and stored. A site holds 500 points, so new rows are stored at an empty site,
and moved rows of the same codes there as surveys of what is there by then. Of what stores nothing
the time is the least of three turns. Wall times are measured here and never asserted in tests.
"""

import argparse
import os
import tempfile
import time

ROWS = 500
APART_M = 7.0


def grid(middle, number, shift_m):
    """Places on a square grid about a middle, none within a metre of one with another shift."""
    from exercises.domain.earth.geodesy import moved

    side = int(number**0.5) + 1
    return [
        moved(
            middle,
            (index % side - side / 2) * APART_M + shift_m,
            (index // side - side / 2) * APART_M,
        )
        for index in range(number)
    ]


def sheet_text(places, letter):
    """A CSV file of places, their codes a letter and a number."""
    lines = [
        f"{letter}{index:03d},post {index},{place.latitude_deg:.8f},{place.longitude_deg:.8f},412"
        for index, place in enumerate(places)
    ]
    return "\n".join(["code,name,lat,lon,ele", *lines])


def seconds(act, turns=3):
    """(least seconds of some turns, what the last turn gave)."""
    times = []
    for _ in range(turns):
        start = time.perf_counter()
        result = act()
        times.append(time.perf_counter() - start)
    return min(times), result


def fields_of(answer):
    """What the preview's form would send: its fields, and every row ticked."""
    form, fields = answer.context["form"], {}
    for name in form.fields:
        value = form[name].value()
        fields[name] = "" if value is None else str(value)
    for shown in answer.context["rows"]:
        row = shown["row"]
        fields[f"code-{row.line}"], fields[f"name-{row.line}"] = row.code, row.name
        for cell in (*shown["place_cells"], *shown["cells"]):
            fields[cell["name"]] = cell["text"]
    return {
        **fields,
        "again": "combine",
        "line": [str(shown["row"].line) for shown in answer.context["rows"]],
    }


def steps():
    """(step, seconds) one by one, on a database that is empty and migrated."""
    from django.contrib.auth import get_user_model
    from django.core.files.uploadedfile import SimpleUploadedFile
    from django.test import Client

    from exercises import queries
    from exercises.domain.earth.geodesy import Position
    from exercises.exchange import columns, reading, rows
    from exercises.models import Point, Site, Survey

    middle = Position(-45.13, 170.10)
    ines = get_user_model().objects.create_user("ines")
    full, empty = (
        Site.objects.create(owner=ines, name=name, latitude=-45.13, longitude=170.10)
        for name in ("full", "empty")
    )
    Point.objects.bulk_create(
        Point(
            site=full,
            code=f"A{index:03d}",
            name=f"post {index}",
            latitude=place.latitude_deg,
            longitude=place.longitude_deg,
            elevation_m=412,
            accuracy_m=1.0,
        )
        for index, place in enumerate(grid(middle, ROWS, 0.0))
    )
    desk = Client(HTTP_ACCEPT_LANGUAGE="en")
    desk.force_login(ines)

    def choose(site, data):
        answer = desk.post(
            f"/sites/{site.pk}/import/", {"file": SimpleUploadedFile("points.csv", data)}
        )
        assert len(answer.context["rows"]) == ROWS
        return answer

    data = sheet_text(grid(middle, ROWS, APART_M / 2), "B").encode()
    took, sheet = seconds(lambda: reading.read_file("points.csv", data))
    yield "the file read into a table", took
    settings = rows.Settings(columns.guess_columns(sheet.columns), None, 3.0, "receiver")
    took, _ = seconds(
        lambda: rows.interpret(sheet, settings, queries.known_points(full), full.position())
    )
    yield "what the rows mean", took
    took, answer = seconds(lambda: choose(full, data))
    yield "the page for a chosen file", took
    fields = fields_of(answer)
    took, _ = seconds(lambda: desk.post(f"/sites/{full.pk}/import/", fields))
    yield "the page looked at again", took
    for step, shift_m in (("stored as new points", 0.0), ("stored as surveys of them", 0.8)):
        data = sheet_text(grid(middle, ROWS, APART_M / 2 + shift_m), "B").encode()
        fields = {**fields_of(choose(empty, data)), "take": "yes"}
        start = time.perf_counter()
        assert desk.post(f"/sites/{empty.pk}/import/", fields).status_code == 302
        yield step, time.perf_counter() - start
    assert Survey.objects.filter(point__site=empty).count() == 2 * ROWS


def main():
    """Print the seconds of each step."""
    argparse.ArgumentParser(description=__doc__).parse_args()
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {
            "DJANGO_SETTINGS_MODULE": "navclass.settings",
            "NAVCLASS_DATA": folder,
            "NAVCLASS_HOTSPOT": "yes",
        }
        # Here, because pytest imports every module for its doctests, with settings of its own.
        import django
        from django.core.management import call_command
        from django.test.utils import setup_test_environment

        django.setup()
        setup_test_environment()  # answers keep what their pages were made of
        call_command("migrate", verbosity=0)
        for step, took in steps():
            print(f"{took:7.3f} s  {step}", flush=True)


if __name__ == "__main__":
    main()
