"""Notes of a release come from its commits alone, and are the same for whoever makes them."""

import subprocess

import pytest

from tests.release_notes import REST, ROOMS, ROOT, Change, git, notes, room_of

NOBODY = ("-c", "user.name=Ines", "-c", "user.email=ines@school.example")
WANTED = """\
# navclass 2027.3

4 changes since v2027.1.

The database is migrated: 0041_otters.

## The trade
- Turn a needle

  It hung.
  And again.

## What is kept, and who may
- Keep otters

## Tests and documents
- Begin to write
- Merge nothing
"""


@pytest.fixture
def repository(tmp_path):
    """Two releases, with a merge in the second one."""

    def run(*arguments):
        subprocess.run(["git", *NOBODY, *arguments], cwd=tmp_path, check=True, capture_output=True)

    def commit(message, *files):
        for file in files:
            path = tmp_path / file
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(f'VERSION = "2027.3"\n{message}\n')
        run("add", "-A")
        run("commit", "-qm", message)

    run("init", "-qb", "trunk")
    commit("Begin", "navclass/__init__.py", "exercises/migrations/0040_begin.py")
    run("tag", "v2027.1")
    commit("Begin to write", "README.md", "tests/test_a.py")
    run("checkout", "-qb", "aside")
    commit(
        "Turn a needle\n\nIt hung.\nAnd again.", "exercises/domain/earth/a.py", "tests/test_a.py"
    )
    run("checkout", "-q", "trunk")
    commit(
        *("Keep otters", "exercises/migrations/0041_otters.py", "exercises/models/otter.py"),
        "exercises/views/otter.py",
    )
    run("merge", "-q", "--no-ff", "-m", "Bring in a needle", "aside")
    commit("Merge nothing", "tests/a file with ü.txt")
    run("tag", "v2027.3")
    return tmp_path


def test_they_hold_each_change_since_the_tag_before_in_its_room(repository):
    assert notes(root=repository) == WANTED


@pytest.mark.parametrize(
    ("name", "setting"),
    [("color.ui", "always"), ("log.showSignature", "true"), ("diff.renames", "copies")],
)
def test_they_do_not_depend_on_who_makes_them(repository, monkeypatch, tmp_path, name, setting):
    settings = tmp_path / "settings"
    subprocess.run(["git", "config", "--file", settings, name, setting], check=True)
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", str(settings))
    monkeypatch.setenv("TZ", "Pacific/Auckland")
    monkeypatch.setenv("LANG", "de_DE.UTF-8")

    assert notes(root=repository) == WANTED


def test_they_are_made_of_an_older_release_as_they_were(repository):
    git(
        "-c",
        "user.name=I",
        "-c",
        "user.email=i",
        "commit",
        "--allow-empty",
        "-qm",
        "Later",
        root=repository,
    )

    assert notes("v2027.3", root=repository) == WANTED
    assert "1 change since v2027.3." in notes(root=repository)


def test_the_first_release_holds_all(repository):
    assert notes("v2027.1", root=repository).splitlines()[2] == "1 change since the beginning."


@pytest.mark.parametrize(
    ("files", "room"),
    [
        (("exercises/domain/diagnosis/a.py",), "Finding mistakes"),
        (("exercises/domain/earth/a.py", "exercises/views/a.py"), "The trade"),
        (
            ("exercises/views/a.py", "exercises/views/b.py", "exercises/urls.py", "DEVELOPERS.md"),
            "Pages and phones",
        ),
        (("tests/a.py", "README.md"), REST),
        ((), REST),
    ],
)
def test_a_change_stands_where_most_of_its_files_are(files, room):
    assert room_of(Change("Do", "", files)) == room


def test_every_room_of_the_program_has_its_heading():
    """A new folder of exercises wants a place in ROOMS."""
    tops = {path.name + ("/" if path.is_dir() else "") for path in (ROOT / "exercises").iterdir()}
    named = {one for beginnings in ROOMS.values() for one in beginnings}
    ours = {
        f"exercises/{top}" for top in tops if not top.startswith("__") and not top.endswith(".md")
    }

    assert ours - named == set()
