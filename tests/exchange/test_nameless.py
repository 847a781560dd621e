"""The open table of nameless readings: what goes out keeps to it, and what does not is refused."""

import csv
import io
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command

from exercises.exchange.nameless import table
from exercises.models import Person
from exercises.usecases import keep_roster
from exercises.usecases.open_class import close_class
from exercises.usecases.trail import Account
from tests import cast

FOLDER = Path(table.__file__).parent
EXAMPLE = (FOLDER / "example.csv").read_text(encoding="utf-8")


def troubles(text):
    return table.troubles("readings.csv", io.StringIO(text))


def with_cell(column, value):
    """The example with one cell of its first row changed."""
    header, first, *rest = csv.reader(io.StringIO(EXAMPLE))
    first[header.index(column)] = value
    out = io.StringIO()
    csv.writer(out).writerows([header, first, *rest])
    return out.getvalue()


def test_the_worked_example_is_sound():
    assert troubles(EXAMPLE) == []


def test_every_column_of_the_schema_is_explained_in_the_standard():
    standard = (FOLDER / "README.md").read_text(encoding="utf-8")

    assert [name for name in table.COLUMNS if f"`{name}`" not in standard] == []


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("version", "2"),
        ("class", "0"),
        ("person", "Mia"),
        ("north", "up"),
        ("declination_deg", "11.5"),
        ("declination_is_set", "yes"),
        ("error_deg", "-180"),
        ("error_deg", "NaN"),
        ("probability", "1.2"),
        ("cause", "tired"),
        ("cause", "ok+reversed"),
        ("label", "reversed"),
        ("reply", "other"),
        ("kind", ""),
    ],
)
def test_what_is_wrong_is_named_by_line_and_column(column, value):
    found = troubles(with_cell(column, value))

    assert found
    assert all(trouble.startswith("readings.csv, line 2") for trouble in found)


@pytest.fixture
def held(ines):
    made = cast.six_read(cast.class_of(ines))
    close_class(course_class=made, now=cast.LATER)
    return made


def test_a_class_goes_out_without_names_and_keeps_to_the_format(client, ines, held):
    client.force_login(ines)

    text = client.get("/experience/readings.csv").content.decode("utf-8-sig")

    rows = list(csv.DictReader(io.StringIO(text)))
    assert troubles(text) == []
    assert len(rows) == 12
    assert [row["person"] for row in rows[:2]] == ["1", "1"]
    assert {row["year"] for row in rows} == {"2026"}
    assert "Saturday" not in text


def test_a_class_of_few_people_does_not_go_out(client, ines):
    made = cast.class_of(ines)
    cast.six_read(made)
    for person in Person.objects.filter(name__in="ab"):
        keep_roster.purge(person=person, by=Account(ines), now=cast.NOW)
    close_class(course_class=made, now=cast.LATER)
    client.force_login(ines)

    text = client.get("/experience/readings.csv").content.decode("utf-8-sig")

    assert text.splitlines() == [",".join(table.COLUMNS)]


def test_the_command_says_whether_a_file_is_sound(tmp_path):
    sound, broken, out = tmp_path / "sound.csv", tmp_path / "broken.csv", StringIO()
    sound.write_text(EXAMPLE, encoding="utf-8")
    broken.write_text(with_cell("north", "up"), encoding="utf-8")

    call_command("check_nameless", sound, stdout=out)
    with pytest.raises(SystemExit) as stopped:
        call_command("check_nameless", broken, stderr=StringIO())

    assert "a sound table" in out.getvalue()
    assert stopped.value.code == 2
