"""Notes of a release, from its commits: `python -m tests.release_notes [COMMIT]`, the last without
one. They begin after the tag before, and are the same bytes for the same commits, whoever asks and
whenever: git is asked without anybody's settings, and no clock.

A change stands in the room of most of its files; tests and documents count where there is nothing
else. Merges are left out.
"""

import argparse
import os
import re
import subprocess
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
# Headings in their order, with the folders and files of each; the longest beginning holds.
ROOMS = {
    "The trade": ("exercises/domain/",),
    "Finding mistakes": ("exercises/domain/diagnosis/", "exercises/domain/mistakes/"),
    "Surveying and planning": ("exercises/domain/surveying/", "exercises/domain/planning/"),
    "Running a class": ("exercises/domain/running/",),
    "Pages and phones": (
        *("exercises/forms/", "exercises/views/", "exercises/templates/", "exercises/static/"),
        *("exercises/templatetags/", "exercises/urls.py"),
    ),
    "Words and languages": (
        *("exercises/presenting/", "exercises/locale/", "exercises/vocabulary.py"),
        "exercises/languages.py",
    ),
    "Drawings and prints": ("exercises/drawing/", "exercises/printing/"),
    "Files in and out": ("exercises/exchange/",),
    "Places": ("exercises/world/",),
    "What is kept, and who may": (
        *("exercises/models/", "exercises/migrations/", "exercises/promises/"),
        *(
            "exercises/usecases/",
            "exercises/queries.py",
            "exercises/kit_queries.py",
            "exercises/record_queries.py",
            "exercises/permissions.py",
        ),
    ),
    "Serving and keeping": (
        *("exercises/serving/", "exercises/keeping/", "exercises/management/", "navclass/"),
        *("exercises/apps.py", "exercises/checks.py", ".deploy/", "manage.py", "requirements.txt"),
    ),
}
REST = "Tests and documents"
MIGRATION = re.compile(r"exercises/migrations/(\d{4}_\w+)\.py")
ENTRY, FIELD = "\x1e", "\x1f"


@dataclass(frozen=True)
class Change:
    """A commit: its subject, its body, its files."""

    subject: str
    body: str
    files: tuple[str, ...]


def git(*arguments: str, root: Path = ROOT) -> str:
    """What git answers, without settings of who asks or of the machine."""
    own = {name: value for name, value in os.environ.items() if not name.startswith("GIT_")}
    plain = {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_NOSYSTEM": "1", "LC_ALL": "C"}
    return subprocess.run(
        ["git", "--no-pager", "-c", "core.quotepath=off", *arguments],
        cwd=root,
        env=own | plain,
        capture_output=True,
        check=True,
    ).stdout.decode()


def tag_before(commit: str, root: Path = ROOT) -> str:
    """The last tag of a release before a commit; empty where there is none."""
    tags = git(
        *("tag", "--merged", commit, "--no-contains", commit, "--sort=-version:refname"),
        *("--list", "v2[0-9][0-9][0-9].*"),
        root=root,
    )
    return tags.partition("\n")[0]


def changes(since: str, commit: str, root: Path = ROOT) -> list[Change]:
    """The commits after a tag, or all, to a commit, the oldest first."""
    log = git(
        *("log", "--no-merges", "--topo-order", "--reverse", "--no-renames", "--no-color"),
        *("--no-show-signature", "--name-only", f"--format={ENTRY}%s{FIELD}%b{FIELD}"),
        f"{since}..{commit}" if since else commit,
        root=root,
    )
    return [_change(entry) for entry in log.split(ENTRY)[1:]]


def _change(entry: str) -> Change:
    subject, body, files = entry.split(FIELD)
    return Change(subject, body.strip(), tuple(filter(None, files.split("\n"))))


def room_of(change: Change) -> str:
    """The heading under which a change stands; of two with as many files the first."""
    rooms = Counter(filter(None, map(_room_of_file, change.files)))
    return max(ROOMS, key=lambda name: rooms[name]) if rooms else REST


def _room_of_file(path: str) -> str:
    begins = [
        (len(one), name) for name, all_ in ROOMS.items() for one in all_ if path.startswith(one)
    ]
    return max(begins)[1] if begins else ""


def notes(commit: str = "HEAD", root: Path = ROOT) -> str:
    """The notes of the version that a commit is, as Markdown."""
    since = tag_before(commit, root)
    done = changes(since, commit, root)
    version = re.search(
        r'^VERSION = "(.+)"$',
        git("show", f"{commit}:navclass/__init__.py", root=root),
        re.MULTILINE,
    )
    head = [f"# navclass {version[1] if version else 'of no version'}", ""]
    number = f"{len(done)} change{'' if len(done) == 1 else 's'}"
    head += [f"{number} since {since or 'the beginning'}.", ""]
    migrations = _migrations(done, commit, root)
    if migrations:
        head += [f"The database is migrated: {', '.join(migrations)}.", ""]
    rooms = [
        line
        for room in (*ROOMS, REST)
        if (here := [one for one in done if room_of(one) == room])
        for line in (f"## {room}", *map(_item, here), "")
    ]
    return "\n".join([*head, *rooms])


def _migrations(done: list[Change], commit: str, root: Path) -> list[str]:
    """The migrations that came in and are there still."""
    there = set(git("ls-tree", "-r", "--name-only", commit, root=root).split("\n"))
    files = sorted({file for one in done for file in one.files} & there)
    return [found[1] for found in map(MIGRATION.match, files) if found]


def _item(change: Change) -> str:
    body = "\n".join(f"  {line}".rstrip() for line in change.body.splitlines())
    return f"- {change.subject}" + (f"\n\n{body}" if body else "")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.partition(":")[0])
    parser.add_argument("commit", nargs="?", default="HEAD", help="the release (%(default)s)")
    print(notes(parser.parse_args().commit), end="")
