"""Made, verified, put back; and what a damaged or hostile file is told."""

import io
import json
import os
import shutil
import sqlite3
import zipfile
from datetime import timedelta
from pathlib import Path

import psycopg
import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from exercises.keeping import making, opening, postgresql, restoring, routine, shelf
from exercises.keeping.engines import ENGINES, name_of
from exercises.keeping.trouble import BackupTrouble
from exercises.management.commands.serve import Command as Serve
from exercises.models import AccountSession, Reading
from tests import cast

only_sqlite = pytest.mark.skipif(
    "sqlite" not in routine.database()["ENGINE"], reason="asks SQLite about its files"
)


@pytest.fixture
def class_with_readings(transactional_db, data):
    course_class = cast.class_of(cast.instructor("ines"))
    ((person, _),) = cast.join(course_class, "Mia")
    cast.send(course_class, person, ("1", "044"), ("2", "300"), ("1", "046"))
    return course_class


@pytest.fixture
def backup(class_with_readings):
    return routine.back_up(why="by-hand", now=cast.NOW, passphrase="").path


def put_back(path, database, data, *, over_newer=False, now=cast.LATER):
    return restoring.restore(
        path,
        database=database,
        data=data,
        passphrase="",
        known_migrations=routine.known_migrations(),
        over_newer=over_newer,
        now=now,
    )


def rows_of(database):
    return ENGINES[name_of(database)].current(database).rows


def number_of(table, database):
    if "sqlite" in database["ENGINE"]:
        connecting = sqlite3.connect(database["NAME"])
    else:
        connecting = psycopg.connect(**postgresql._parameters(database))
    (number,) = connecting.execute(f"SELECT count(*) FROM {table}").fetchone()
    connecting.close()
    return number


def changed(backup, tmp_path, member, change):
    """A copy of a backup in which one member is another; None leaves it out."""
    path = tmp_path / backup.name
    with zipfile.ZipFile(backup) as source, zipfile.ZipFile(path, "w") as target:
        for name in source.namelist():
            content = source.read(name)
            if name == member:
                content = change(content)
            if content is not None:
                target.writestr(name, content)
    return path


def in_manifest(**more):
    return lambda content: json.dumps({**json.loads(content), **more}).encode()


def test_a_backup_is_named_by_its_moment_and_is_for_its_owner_alone(backup, data):
    assert backup == data / "backups" / "navclass-20261003T093000Z-by-hand.zip"
    assert backup.stat().st_mode & 0o777 == 0o600
    assert os.listdir(backup.parent) == [backup.name]


def test_a_sound_backup_tells_what_it_holds(backup):
    manifest = routine.verify(backup, passphrase="")

    assert manifest.rows["exercises_reading"] == 3
    assert manifest.newest == cast.NOW.isoformat()
    assert set(manifest.migrations) <= routine.known_migrations()
    assert manifest.digests["secret_key"] == making.sha256(backup.parents[1] / "secret_key")


def test_sessions_are_left_out(class_with_readings, client, elsewhere, tmp_path):
    client.force_login(class_with_readings.owner)
    assert AccountSession.objects.exists()

    made = routine.back_up(why="by-hand", now=cast.NOW, passphrase="")

    put_back(made.path, elsewhere, tmp_path / "elsewhere")
    assert number_of("exercises_accountsession", elsewhere) == 0
    assert number_of("exercises_reading", elsewhere) == 3


@only_sqlite
def test_what_was_deleted_before_is_nowhere_in_a_backup(class_with_readings):
    person = class_with_readings.people.get()
    person.name = "Zebulon-Quirinius"
    person.save()
    person.name = "#1"
    person.save()

    made = routine.back_up(why="by-hand", now=cast.NOW, passphrase="")

    with zipfile.ZipFile(made.path) as archive:
        assert b"Zebulon" not in archive.read("navclass.sqlite3")


def test_into_an_empty_place_comes_all_of_it(backup, elsewhere, tmp_path):
    other = tmp_path / "elsewhere"

    restored = put_back(backup, elsewhere, other)

    assert restored.kept == ()
    assert rows_of(elsewhere) == routine.verify(backup, passphrase="").rows
    assert (other / "secret_key").read_text() == "the key of this laptop"
    assert (other / "secret_key").stat().st_mode & 0o777 == 0o600


def test_what_holds_a_later_entry_is_not_replaced_unless_it_is_said(
    backup, class_with_readings, elsewhere, tmp_path
):
    person = class_with_readings.people.get()
    cast.send(class_with_readings, person, ("3", "120"), now=cast.LATER)
    later = routine.back_up(why="by-hand", now=cast.LATER, passphrase="").path
    other = tmp_path / "elsewhere"
    put_back(later, elsewhere, other)

    with pytest.raises(BackupTrouble, match=r"last entry is of 2026-10-03T11:30:00\+00:00"):
        put_back(backup, elsewhere, other)
    assert rows_of(elsewhere)["exercises_reading"] == 4

    restored = put_back(backup, elsewhere, other, over_newer=True)
    assert rows_of(elsewhere)["exercises_reading"] == 3
    assert len(restored.kept) == 1


def test_what_holds_more_rows_is_not_replaced_either(
    backup, class_with_readings, elsewhere, tmp_path
):
    cast.site_of(class_with_readings.owner, "A ground made after it")
    later = routine.back_up(why="by-hand", now=cast.LATER, passphrase="").path
    put_back(later, elsewhere, tmp_path / "elsewhere")

    with pytest.raises(BackupTrouble, match="more rows in exercises_point, exercises_site"):
        put_back(backup, elsewhere, tmp_path / "elsewhere")


@only_sqlite
def test_the_replaced_database_lies_beside_and_holds_what_it_held(backup, elsewhere, tmp_path):
    other = tmp_path / "elsewhere"
    put_back(backup, elsewhere, other)
    with sqlite3.connect(elsewhere["NAME"]) as writing:
        writing.execute("PRAGMA journal_mode = WAL")
        promised = "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        for (name,) in writing.execute(promised).fetchall():
            writing.execute(f'DROP TRIGGER "{name}"')
        writing.execute("UPDATE exercises_reading SET text = '099'")
    writing.close()

    (kept,) = put_back(backup, elsewhere, other).kept

    with sqlite3.connect(kept) as old, sqlite3.connect(elsewhere["NAME"]) as new:
        texts = "SELECT DISTINCT text FROM exercises_reading ORDER BY text"
        assert old.execute(texts).fetchall() == [("099",)]
        assert new.execute(texts).fetchall() == [("044",), ("046",), ("300",)]
    old.close()
    new.close()


@only_sqlite
def test_a_database_that_is_at_work_is_not_replaced(backup, elsewhere, tmp_path):
    put_back(backup, elsewhere, tmp_path / "elsewhere")
    server = sqlite3.connect(elsewhere["NAME"])
    server.execute("PRAGMA journal_mode = WAL")
    server.execute("SELECT count(*) FROM exercises_reading").fetchone()

    with pytest.raises(BackupTrouble, match="Stop the server"):
        put_back(backup, elsewhere, tmp_path / "elsewhere")
    server.close()


@only_sqlite
def test_a_damaged_database_is_replaced_and_kept_as_it_is(backup, elsewhere, tmp_path):
    put_back(backup, elsewhere, tmp_path / "elsewhere")
    with open(elsewhere["NAME"], "wb") as file:
        file.write(b"no database at all" * 100)

    (kept,) = put_back(backup, elsewhere, tmp_path / "elsewhere").kept

    assert rows_of(elsewhere)["exercises_reading"] == 3
    with open(kept, "rb") as file:
        assert file.read(11) == b"no database"


def test_another_key_of_the_folder_is_kept_beside(backup, elsewhere, tmp_path):
    other = tmp_path / "elsewhere"
    other.mkdir(exist_ok=True)
    (other / "secret_key").write_text("another key")

    (kept,) = put_back(backup, elsewhere, other).kept

    assert (other / "secret_key").read_text() == "the key of this laptop"
    assert Path(kept).read_text() == "another key"


def test_an_older_state_is_put_back_without_tables_that_came_later(
    backup, class_with_readings, elsewhere, tmp_path
):
    """A migration is undone by its backup: a table that it made must not stay in the way."""
    other = tmp_path / "elsewhere"
    with connection.cursor() as cursor:
        cursor.execute("CREATE TABLE exercises_later (id integer PRIMARY KEY)")
    try:
        later = routine.back_up(why="migration", now=cast.LATER, passphrase="").path
    finally:
        with connection.cursor() as cursor:
            cursor.execute("DROP TABLE exercises_later")
    put_back(later, elsewhere, other)
    assert "exercises_later" in rows_of(elsewhere)

    put_back(backup, elsewhere, other)

    assert "exercises_later" not in rows_of(elsewhere)


@pytest.mark.parametrize(
    ("member", "change", "said"),
    [
        pytest.param("secret_key", lambda held: b"other key of the laptop", "longer", id="longer"),
        pytest.param("secret_key", lambda held: b"the key of this laptob", "digest", id="digest"),
        pytest.param("secret_key", lambda held: None, "other files than", id="missing"),
        pytest.param("manifest.json", lambda held: None, "manifest", id="no manifest"),
        pytest.param("manifest.json", lambda held: b"{", "cannot be read", id="half a manifest"),
        pytest.param("manifest.json", lambda held: b"[" * 9999, "cannot be read", id="deep"),
        pytest.param("manifest.json", in_manifest(format=2), "format 2", id="format"),
        pytest.param("manifest.json", in_manifest(rows={}), "rows", id="rows"),
        pytest.param("manifest.json", in_manifest(rows=[1]), "cannot be read", id="type"),
        pytest.param("manifest.json", in_manifest(engine="oracle"), "oracle", id="engine"),
        pytest.param("manifest.json", in_manifest(more=1), "cannot be read", id="more"),
        pytest.param("manifest.json", in_manifest(migrations=[]), "migrations", id="migrations"),
    ],
)
def test_a_backup_that_was_changed_is_told_in_words(backup, tmp_path, member, change, said):
    with pytest.raises(BackupTrouble, match=said):
        routine.verify(changed(backup, tmp_path, member, change), passphrase="")


@pytest.mark.parametrize("name", ["../../secret_key", "/etc/passwd", "https/../../x", "C:\\x"])
def test_a_member_that_does_not_belong_into_a_backup_is_refused(backup, tmp_path, name):
    path = tmp_path / backup.name
    shutil.copy(backup, path)
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr(name, "x")

    with pytest.raises(BackupTrouble, match="does not belong"):
        routine.verify(path, passphrase="")


@pytest.mark.parametrize("content", [b"", b"PK", b"no backup", b"PK\x05\x06" + b"\0" * 18])
def test_what_is_no_backup_is_told_in_words(data, tmp_path, content):
    path = tmp_path / "navclass-20261003T093000Z-daily.zip"
    path.write_bytes(content)

    with pytest.raises(BackupTrouble):
        routine.verify(path, passphrase="")


# where a member says so, from the begin of its head and of its entry in the list: its flags, of
# which the first is "encrypted"; its packing (PKWARE APPNOTE 6.3.10, 4.3.7 and 4.3.12, from memory)
@pytest.mark.parametrize(
    ("in_member", "in_list", "value"),
    [pytest.param(6, 8, 1, id="locked"), pytest.param(8, 10, 99, id="packed in another way")],
)
def test_a_backup_that_another_program_locked_or_packed_is_told_in_words(
    backup, tmp_path, in_member, in_list, value
):
    content = bytearray(backup.read_bytes())
    with zipfile.ZipFile(backup) as archive:
        begin, listed = archive.getinfo("manifest.json").header_offset, archive.start_dir
    listed = content.index(b"manifest.json", listed) - 46
    for place in (begin + in_member, listed + in_list):
        content[place] = value
    (tmp_path / "locked.zip").write_bytes(content)

    with pytest.raises(BackupTrouble, match="damaged or no backup"):
        routine.verify(tmp_path / "locked.zip", passphrase="")


def test_a_backup_that_was_cut_off_is_told_in_words(backup, tmp_path):
    content = backup.read_bytes()
    for share in (0.1, 0.5, 0.9, 0.999):
        (tmp_path / "cut.zip").write_bytes(content[: int(len(content) * share)])

        with pytest.raises(BackupTrouble):
            routine.verify(tmp_path / "cut.zip", passphrase="")


def test_a_backup_of_a_newer_version_is_told_by_its_migration(backup, data):
    known = routine.known_migrations() - {"exercises.0028_doors"}

    with (
        pytest.raises(BackupTrouble, match=r"newer version of navclass, which has .*0028_doors"),
        opening.opened(backup, passphrase="", room=data, known_migrations=known),
    ):
        pass


def test_what_was_not_finished_leaves_no_file(class_with_readings, data, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)

    with pytest.raises(BackupTrouble, match="No space left"):
        routine.back_up(why="by-hand", now=cast.NOW, passphrase="")
    assert os.listdir(data / "backups") == []
    assert [name for name in os.listdir(data) if name.startswith("backup-")] == []


def test_a_folder_that_is_missing_is_not_made(class_with_readings, tmp_path, settings):
    settings.BACKUPS = tmp_path / "stick"

    with pytest.raises(BackupTrouble, match="is the stick in"):
        routine.back_up(why="daily", now=cast.NOW, passphrase="")
    assert not settings.BACKUPS.exists()


def test_the_day_s_backup_is_made_once_a_day(class_with_readings):
    moments = [cast.NOW + timedelta(hours=hours) for hours in (0, 1, 19, 20, 21, 40)]

    made = [routine.each_day(now=moment) is not None for moment in moments]

    assert made == [True, False, False, True, False, True]


def test_old_backups_and_what_restores_put_aside_go_with_the_next_one(class_with_readings, data):
    own = data / "backups"
    own.mkdir()
    for age in (1, 2, 3, 100):
        moment = cast.NOW - timedelta(days=age)
        (own / shelf.name_of(made_at=moment, why="daily", is_sealed=False)).touch()
    (data / "secret_key.replaced-20260101T000000Z").touch()
    (data / "secret_key.replaced-20261001T000000Z").touch()

    made = routine.back_up(why="daily", now=cast.NOW, passphrase="")

    assert made.thinned == ("navclass-20260625T093000Z-daily.zip",)
    assert len(os.listdir(own)) == 4
    assert sorted(path.name for path in data.glob("*.replaced-*")) == [
        "secret_key.replaced-20261001T000000Z"
    ]


def test_old_backups_that_cannot_go_are_said_and_the_new_one_stays(
    class_with_readings, data, monkeypatch
):
    def refused(*_, **__):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(making, "thin", refused)

    with pytest.raises(BackupTrouble, match=r"was made, but old backups could not be let go"):
        routine.back_up(why="daily", now=cast.NOW, passphrase="")
    assert len(os.listdir(data / "backups")) == 1


def test_a_server_whose_stick_is_out_says_so_and_goes_on(class_with_readings, settings, tmp_path):
    settings.BACKUPS, said = tmp_path / "stick", io.StringIO()

    Serve(stdout=io.StringIO(), stderr=said)._back_up()

    assert "No backup today" in said.getvalue()
    assert "is the stick in" in said.getvalue()


def test_by_command_it_is_made_sealed_verified(class_with_readings, data, tmp_path):
    words, said = tmp_path / "words", io.StringIO()
    words.write_text("peg at the gate\n", encoding="utf-8")

    call_command("backup", to=tmp_path, passphrase_file=str(words), stdout=said)
    (path,) = tmp_path.glob("navclass-*.zip.sealed")
    call_command("verify", path, passphrase_file=str(words), stdout=said)

    assert "is sound" in said.getvalue()
    assert "3 readings" in said.getvalue()
    assert "Mia" not in said.getvalue()
    with pytest.raises(CommandError, match="closed with a passphrase"):
        call_command("verify", path)


def test_a_passphrase_that_cannot_be_read_is_said(class_with_readings, tmp_path):
    (tmp_path / "empty").write_text("\n")

    with pytest.raises(CommandError, match=r"first line of .*empty is empty"):
        call_command("backup", passphrase_file=str(tmp_path / "empty"))
    with pytest.raises(CommandError, match="cannot be read from"):
        call_command("backup", passphrase_file=str(tmp_path / "missing"))


def test_a_database_in_use_is_backed_up_before_it_is_migrated(class_with_readings, data):
    said = io.StringIO()
    try:
        call_command("migrate", "exercises", "0027", stdout=said, verbosity=0)
    finally:
        call_command("migrate", stdout=said, stderr=said, verbosity=0, no_backup=True)

    (path,) = (data / "backups").iterdir()
    assert path.name.endswith("Z-migration.zip")
    assert routine.verify(path, passphrase="").rows["exercises_reading"] == Reading.objects.count()


def test_a_migration_that_changes_nothing_makes_no_backup(class_with_readings, data):
    call_command("migrate", verbosity=0)

    assert not (data / "backups").exists()


def test_before_a_migration_the_data_folder_takes_the_place_of_a_stick(
    class_with_readings, data, settings, tmp_path
):
    settings.BACKUPS = tmp_path / "stick"

    made, trouble = routine.before_migration(now=cast.NOW)

    assert "is the stick in" in trouble
    assert made.path.parent == data / "backups"


def test_without_a_backup_nothing_is_migrated(class_with_readings, settings):
    settings.BACKUP_PASSPHRASE_FILE = "/nowhere/at/all"

    with pytest.raises(CommandError, match="Nothing was migrated"):
        call_command("migrate", "exercises", "0027", verbosity=0)
