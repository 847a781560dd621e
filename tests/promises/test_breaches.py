"""Rows that break a promise are found and named, and a migration stops at them."""

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db import connection

from exercises.models import Person, Task
from exercises.promises import breaches, enforce
from exercises.promises.render import triggers
from exercises.promises.table import PROMISES
from tests import cast
from tests.promises.world import build

ROOT = Path(__file__).resolve().parent.parent.parent


@pytest.fixture
def world(ines, karl):
    return build(ines, karl)


@pytest.fixture
def strayed(world):
    """Mia's group is one of another class, and a task stands on another site."""
    with cast.unheld():
        Person.objects.filter(pk=world.rows["person"].pk).update(group=world.other["group"])
        Task.objects.filter(pk=world.rows["task"].pk).update(station=world.other["point"])
    return world


def test_a_row_in_breach_is_named_with_its_table_the_promise_and_what_to_do(strayed):
    mia, task = strayed.rows["person"], strayed.rows["task"]
    group, point = strayed.other["group"], strayed.other["point"]

    found = {str(breach) for breach in breaches.breaches(connection)}

    assert found == {
        f"person, row {mia.pk} (course_class_id {mia.course_class_id}, name 'Mia', group_id "
        f"{group.pk}): person group is in its class. Let it name one of its own class, or delete "
        "the row.",
        f"task, row {task.pk} (course_id {task.course_id}, number 1, station_id {point.pk}, "
        f"target_id {task.target_id}, second_id None, third_id None): task points are on the site "
        "of its course. Choose points of the same site, or delete the row.",
    }


def test_the_command_lists_them_and_changes_nothing(strayed):
    with pytest.raises(breaches.PromisesBroken) as stopped:
        call_command("check_promises")

    assert stopped.value.returncode == 1
    assert str(stopped.value).splitlines()[0] == "2 rows break what the database is to hold:"
    assert str(stopped.value).splitlines()[-1] == breaches.TO_DO
    assert Person.objects.get(pk=strayed.rows["person"].pk).group == strayed.other["group"]


def test_where_all_is_well_the_command_says_so(world, capsys):
    call_command("check_promises")

    assert capsys.readouterr().out == "No row breaks a promise.\n"


@pytest.mark.django_db
def test_promises_that_are_not_in_force_are_counted(capsys):
    enforce.lift(connection)
    call_command("check_promises")
    enforce.put_in_force(connection)

    number = len(triggers(PROMISES, connection.vendor))
    assert capsys.readouterr().out.splitlines() == [
        f"Triggers that are not in force: {number}. manage.py migrate puts them in force.",
        "No row breaks a promise.",
    ]


@pytest.mark.django_db
def test_a_trigger_of_an_older_program_goes(monkeypatch):
    older = PROMISES[1:]
    monkeypatch.setattr(enforce, "PROMISES", older)
    enforce.put_in_force(connection)
    before = enforce.standing(connection)
    monkeypatch.undo()
    enforce.put_in_force(connection)

    added = set(enforce.standing(connection)) - set(before)
    assert added == {one.name for one in triggers(PROMISES[:1], connection.vendor)}
    assert enforce.missing(connection) == []


def manage(folder, *arguments):
    """A command on a database of its own: its exit code and what it said."""
    environment = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    done = subprocess.run(
        [sys.executable, "manage.py", *arguments],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
        env={**environment, "NAVCLASS_DATA": str(folder)},
    )
    return done.returncode, done.stdout + done.stderr


def run_sql(folder, sql):
    """Statements on that database, and the answer of the last."""
    with closing(sqlite3.connect(folder / "navclass.sqlite3")) as database:
        for statement in sql:
            answer = database.execute(statement).fetchall()
        database.commit()
    return answer


ADD_A_SITE = (
    "INSERT INTO auth_user (id, username, password, first_name, last_name, email, is_staff, "
    "is_active, is_superuser, date_joined) VALUES (1, 'ines', '', '', '', '', 0, 1, 0, "
    "'2026-10-03')",
    "INSERT INTO exercises_site (id, owner_id, name, latitude, longitude, cautions, way_in, "
    "contacts, meeting_point, safety_leads_to, safety_bearing_deg) "
    "VALUES (7, 1, 'Tarn', 45, 7, '', '', '', '', '', 400)",
)
ADD_A_COURSE_AND_A_CLASS = (
    "INSERT INTO exercises_course (id, site_id, name) VALUES (3, 7, 'Round')",
    "INSERT INTO exercises_courseclass (id, course_id, owner_id, name, date, time_zone, code, "
    "state, feedback, key_source, unit, asks, names_until, opened_at) VALUES (5, 3, 1, "
    "'Saturday', '2026-10-03', 'UTC', 'ABCDEF', 'open', 'at_once', 'computed', 'deg', 1, "
    "'2026-12-01', '2026-10-03 09:00:00')",
)
TRIGGERS = "SELECT count(*) FROM sqlite_master WHERE type = 'trigger'"


def test_a_migration_stops_at_rows_in_breach_and_goes_on_when_they_are_mended(tmp_path):
    manage(tmp_path, "migrate", "auth")
    manage(tmp_path, "migrate", "exercises", "0028")
    run_sql(tmp_path, [*ADD_A_SITE, *ADD_A_COURSE_AND_A_CLASS])

    checked = manage(tmp_path, "check_promises")
    stopped = manage(tmp_path, "migrate", "--no-backup", "--verbosity", "0")

    assert checked == stopped
    code, said = stopped
    assert code == 1
    assert [line.split(":")[0] for line in said.splitlines()[:3]] == [
        "PromisesBroken",
        "site, row 7 (name 'Tarn', safety_bearing_deg 400.0)",
        "class, row 5 (course_id 3, name 'Saturday', code 'ABCDEF', state 'open')",
    ]
    assert "Traceback" not in said
    assert run_sql(tmp_path, [TRIGGERS]) == [(0,)]

    mend = "UPDATE exercises_site SET safety_bearing_deg = 40", "DELETE FROM exercises_courseclass"
    run_sql(tmp_path, mend)

    assert manage(tmp_path, "migrate", "--no-backup", "--verbosity", "0")[0] == 0
    assert manage(tmp_path, "check_promises") == (0, "No row breaks a promise.\n")
    assert run_sql(tmp_path, [TRIGGERS]) == [(len(triggers(PROMISES, "sqlite")),)]


def test_triggers_are_lifted_while_tables_are_altered_and_come_back(tmp_path):
    manage(tmp_path, "migrate", "--no-backup", "--verbosity", "0")

    back = manage(tmp_path, "migrate", "exercises", "0028", "--no-backup", "--verbosity", "0")
    between = run_sql(tmp_path, [TRIGGERS])
    forth = manage(tmp_path, "migrate", "--no-backup", "--verbosity", "0")

    assert (back, between, forth) == ((0, ""), [(0,)], (0, ""))
    assert run_sql(tmp_path, [TRIGGERS]) == [(len(triggers(PROMISES, "sqlite")),)]
