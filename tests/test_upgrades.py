"""A database of an earlier state, with data that the program of that time wrote, is brought up to
date: everything can be read, and the backup that was made before brings the earlier state back.

In processes of their own: the tests' database is of today.
"""

import json
import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
STATES = sorted(path.stem for path in (ROOT / "tests" / "upgrades").glob("*.sql"))
LOOK = """
import json
from django.contrib.auth import get_user_model
from django.test import Client
from django.utils import timezone
from exercises.models import CourseClass, Reading
from exercises.usecases.debrief import debrief
client = Client(HTTP_HOST="localhost")
client.force_login(get_user_model().objects.get(username="ines"))
held = CourseClass.objects.get(state="closed")
site, pages = held.course.site_id, ("", "debrief/", "key/", "people/", "roster/", "trail/",
    "results.csv", "attendance.csv", "print/pack.pdf", "names/", "helpers/")
addresses = ["/sites/", f"/sites/{site}/", f"/sites/{site}/ground/", f"/courses/{held.course_id}/",
    "/season/", "/account/", *(f"/classes/{held.pk}/{page}" for page in pages),
    *(f"/classes/{held.pk}/people/{pk}/" for pk in held.people.values_list("pk", flat=True)),
    *(f"/classes/{pk}/" for pk in CourseClass.objects.values_list("pk", flat=True))]
answers = {address: client.get(address, follow=True) for address in addresses}
sheets = "".join(answers[f"/classes/{held.pk}/people/{pk}/"].content.decode()
    for pk in held.people.values_list("pk", flat=True))
print("SEEN " + json.dumps({
    "wrong": {address: answer.status_code for address, answer in answers.items()
              if answer.status_code != 200},
    "readings": sorted(Reading.objects.values_list("text", flat=True)),
    "people": sorted(held.people.values_list("name", flat=True)),
    "sheets": [name for name in ("Mia", "Tom", "Éowenna") if name in sheets],
    "judged": len(debrief(course_class=held, now=timezone.now()).judged),
    "csv": answers[f"/classes/{held.pk}/results.csv"].content.decode().count("Mia"),
}))
"""


@pytest.fixture
def manage(tmp_path):
    """Run manage.py on a data folder of the test's own."""

    def run(*arguments):
        clean = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
        ended = subprocess.run(
            [sys.executable, "manage.py", *arguments],
            cwd=ROOT,
            env={**clean, "NAVCLASS_DATA": str(tmp_path), "NAVCLASS_HOTSPOT": "yes"},
            capture_output=True,
            text=True,
            check=False,
            timeout=120,
        )
        assert ended.returncode == 0, ended.stderr
        return ended.stdout

    return run


def filled(manage, tmp_path, state):
    """A database as it was after a migration, with what it held."""
    manage("migrate", "auth", "-v0")
    manage("migrate", "exercises", state, "-v0", "--no-backup")
    connection = sqlite3.connect(tmp_path / "navclass.sqlite3")
    connection.executescript(
        (ROOT / "tests" / "upgrades" / f"{state}.sql").read_text(encoding="utf-8")
    )
    connection.close()


def content(path):
    """Migrations of ours that were made, and every reading."""
    connection = sqlite3.connect(path)
    found = [
        connection.execute(query).fetchall()
        for query in (
            "SELECT max(name) FROM django_migrations WHERE app = 'exercises'",
            "SELECT id, person_id, task, text FROM exercises_reading ORDER BY id",
        )
    ]
    connection.close()
    return found


@pytest.mark.parametrize("state", STATES)
def test_an_earlier_database_is_brought_up_to_date_and_read(manage, tmp_path, state):
    filled(manage, tmp_path, state)
    before = content(tmp_path / "navclass.sqlite3")

    manage("migrate", "-v0")

    told = next(line for line in manage("shell", "-c", LOOK).splitlines() if "SEEN" in line)
    seen = json.loads(told.removeprefix("SEEN "))
    assert seen["wrong"] == {}
    assert seen["readings"] == sorted(row[3] for row in before[1])
    assert seen["people"] == ["Mia", "Tom", "Éowenna"]
    assert seen["sheets"] == ["Mia", "Tom", "Éowenna"]
    assert seen["judged"] == 12  # of each person one reading a task: the first of the same task
    assert seen["csv"] > 0


def test_the_backup_before_a_migration_brings_the_earlier_state_back(manage, tmp_path):
    state = STATES[-1]
    filled(manage, tmp_path, state)
    before = content(tmp_path / "navclass.sqlite3")

    manage("migrate", "-v0")

    (backup,) = (tmp_path / "backups").glob("*-migration.zip")
    assert content(tmp_path / "navclass.sqlite3")[0] != before[0]
    manage("restore", str(backup), "--over-newer")
    assert content(tmp_path / "navclass.sqlite3") == before
    assert before[0] == [(state,)]
