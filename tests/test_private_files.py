"""What lies in the data folder can be read by its owner alone."""

import os
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from exercises.serving import certificates, private_files

ROOT = Path(__file__).resolve().parent.parent
pytestmark = pytest.mark.skipif(os.name != "posix", reason="modes of files are of POSIX")


def modes(folder):
    """The modes of a folder and of all in it, by their names."""
    paths = [folder, *folder.rglob("*")]
    return {path.relative_to(folder).as_posix(): path.stat().st_mode & 0o777 for path in paths}


def migrate(folder):
    """Migrate as on a laptop on which every file can be read by all unless one says otherwise."""
    environment = {
        name: value
        for name, value in os.environ.items()
        if name not in ("DATABASE_URL", "NAVCLASS_SECRET_KEY")
    }
    subprocess.run(
        [sys.executable, "manage.py", "migrate", "--verbosity", "0"],
        cwd=ROOT,
        umask=0o022,
        check=True,
        env={**environment, "NAVCLASS_DATA": str(folder), "NAVCLASS_HOTSPOT": "yes"},
    )


def test_what_migrating_makes_is_private_and_so_is_what_it_finds(tmp_path):
    folder = tmp_path / "data"
    migrate(folder)
    fresh = modes(folder)
    for path in (folder, *folder.rglob("*")):
        path.chmod(0o755 if path.is_dir() else 0o644)

    migrate(folder)

    assert fresh == modes(folder)
    assert fresh == {".": 0o700, "navclass.sqlite3": 0o600, "secret_key": 0o600}


@pytest.fixture
def open_to_all():
    before = os.umask(0)
    yield
    os.umask(before)


def test_certificates_and_their_keys_are_made_private(tmp_path, open_to_all):
    certificates.for_server(tmp_path / "https", ["localhost"], datetime.now(UTC))

    made = modes(tmp_path / "https")
    assert made.pop(".") == 0o700
    assert {"authority.crt", "signer.crt", "signer.key"} <= made.keys()
    assert set(made.values()) == {0o600}


def test_files_of_before_are_put_right_and_those_of_others_left(tmp_path, open_to_all):
    (tmp_path / "https").mkdir()
    for name in ("secret_key", "db-wal", "https/signer.key", "https/authority.crt", "holiday.jpg"):
        (tmp_path / name).write_text("")

    private_files.tighten(tmp_path, tmp_path / "db")

    assert modes(tmp_path) == {
        ".": 0o700,
        "secret_key": 0o600,
        "db-wal": 0o600,
        "https": 0o700,
        "https/signer.key": 0o600,
        "https/authority.crt": 0o600,
        "holiday.jpg": 0o666,
    }


def test_what_belongs_to_somebody_else_is_told_and_stops_nothing(tmp_path, monkeypatch):
    key = tmp_path / "secret_key"
    key.write_text("")
    key.chmod(0o644)

    def refuse(path, mode):
        raise PermissionError

    monkeypatch.setattr(Path, "chmod", refuse)

    assert key in private_files.tighten(tmp_path, None)
