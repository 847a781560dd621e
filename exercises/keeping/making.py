"""A backup is made: copy, manifest, one file, a new name when all of it is on the disk."""

from __future__ import annotations

import hashlib
import os
import shutil
import sqlite3
import tempfile
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any, BinaryIO

import psycopg

from . import engines, sealing, shelf
from .manifest import FORMAT, Contents, Manifest
from .trouble import BackupTrouble

# of the data folder: without them phones would trust the laptop no more, and links end
KEPT_FILES = (
    "secret_key",
    "https/authority.crt",
    "https/signer.crt",
    "https/signer.key",
)
PART = ".part"
STALE_S = 86_400  # a part this old was left by a power cut


def make(
    *,
    database: dict[str, Any],
    data: Path,
    folder: Path,
    passphrase: str,
    why: str,
    program: str,
    now: datetime,
) -> Path:
    """Make a backup of a database and of what belongs to it in the data folder, and say where it
    is. Raises BackupTrouble; then there is no new file.
    """
    engine = engines.name_of(database)
    if not folder.is_dir():
        raise BackupTrouble(
            f"The folder {folder} is not there: is the stick in, is the drive connected?"
        )
    try:
        data.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=data, prefix="backup-") as room:
            work = Path(room)
            dumped = work / engines.ENGINES[engine].MEMBER
            contents = engines.ENGINES[engine].dump(database, dumped)
            members = {dumped.name: dumped}
            members |= {name: data / name for name in KEPT_FILES if (data / name).is_file()}
            manifest = _manifest(engine, program, now, members, contents)
            name = shelf.name_of(made_at=now, why=why, is_sealed=bool(passphrase))
            return _store(folder / name, work, members, manifest, passphrase)
    except (OSError, sqlite3.Error, psycopg.Error) as error:
        raise BackupTrouble(f"No backup was made: {error}") from error


def sha256(path: Path) -> str:
    """The SHA-256 of a file, in hexadecimal."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _manifest(
    engine: str, program: str, now: datetime, members: dict[str, Path], contents: Contents
) -> Manifest:
    return Manifest(
        FORMAT,
        engine,
        now.isoformat(),
        program,
        {name: sha256(path) for name, path in members.items()},
        {name: path.stat().st_size for name, path in members.items()},
        contents.rows,
        contents.migrations,
        contents.newest,
    )


def _store(
    target: Path, work: Path, members: dict[str, Path], manifest: Manifest, passphrase: str
) -> Path:
    """One file under its name. What is to be sealed is put together in the data folder: nothing
    that can be read touches the stick.
    """
    for stale in target.parent.glob(f".navclass-*{PART}"):
        if manifest.made.timestamp() - stale.stat().st_mtime > STALE_S:
            stale.unlink()
    with _written(target) as file:
        if not passphrase:
            _zip(file, members, manifest)
        else:
            with (work / "plain.zip").open("w+b") as plain:
                _zip(plain, members, manifest)
                plain.seek(0)
                sealing.seal(plain, file, passphrase)
    return target


def _zip(file: BinaryIO, members: dict[str, Path], manifest: Manifest) -> None:
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("manifest.json", manifest.as_json())
        for name, path in members.items():
            with path.open("rb") as source, archive.open(name, "w", force_zip64=True) as member:
                shutil.copyfileobj(source, member)


@contextmanager
def _written(target: Path) -> Iterator[BinaryIO]:
    """A file for its owner alone that gets its name once it is on the disk whole, or none."""
    part = target.with_name(f".{target.name}{PART}")
    part.unlink(missing_ok=True)
    try:
        with os.fdopen(os.open(part, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600), "w+b") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        os.replace(part, target)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    _sync(target.parent)


def _sync(folder: Path) -> None:
    """Let the folder's own entry reach the disk; Windows has no such call."""
    if os.name == "posix":
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def thin(folder: Path, *, now: datetime, weeks: int) -> list[str]:
    """Let old backups go by the rule of shelf.py, and say which."""
    names = [path.name for path in folder.iterdir() if path.is_file()]
    gone = shelf.to_thin(names, now=now, weeks=weeks)
    for name in gone:
        (folder / name).unlink(missing_ok=True)
    return gone
