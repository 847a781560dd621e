"""A backup is opened and verified: digests, the database's own check, rows, and whether this
version can read it.
"""

from __future__ import annotations

import shutil
import tempfile
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from . import engines, sealing
from .making import KEPT_FILES, sha256
from .manifest import LARGEST, Contents, Manifest, from_json
from .trouble import BackupTrouble

MANIFEST = "manifest.json"
MEMBERS = {MANIFEST, *KEPT_FILES, *(engine.MEMBER for engine in engines.ENGINES.values())}
CHUNK = 1 << 20


@contextmanager
def opened(
    path: Path, *, passphrase: str, room: Path, known_migrations: set[str]
) -> Iterator[tuple[Path, Manifest]]:
    """The members of a backup in a folder for as long as it is looked at, and its manifest, all of
    it verified. `known_migrations` are those of this version, as "app.name". Raises BackupTrouble.
    """
    if not path.is_file():
        raise BackupTrouble(f"There is no file {path}.")
    with tempfile.TemporaryDirectory(dir=room, prefix="backup-") as made:
        folder = Path(made)
        plain = _unsealed(path, passphrase, folder)
        try:
            with zipfile.ZipFile(plain) as archive:
                manifest = _taken_out(archive, folder)
        # RuntimeError: locked by a password of its own, or packed as zipfile does not know
        except (zipfile.BadZipFile, zlib.error, RuntimeError, EOFError) as error:
            raise BackupTrouble(
                f"{path.name} is damaged or no backup of navclass ({error}). Take another one."
            ) from error
        if plain != path:
            plain.unlink()
        _check(folder, manifest, known_migrations)
        yield folder, manifest


def _unsealed(path: Path, passphrase: str, folder: Path) -> Path:
    if not sealing.is_sealed(path):
        return path
    if not passphrase:
        raise BackupTrouble(f"{path.name} is closed with a passphrase: give it.")
    plain = folder / "plain.zip"
    with plain.open("wb") as file:
        sealing.unseal(path, file, passphrase)
    return plain


def _taken_out(archive: zipfile.ZipFile, folder: Path) -> Manifest:
    """Only members of ours, none longer than the manifest says."""
    names = [entry.filename for entry in archive.infolist()]
    if strange := sorted(set(names) - MEMBERS):
        raise BackupTrouble(f"“{strange[0]}” does not belong into a backup of navclass.")
    if len(names) != len(set(names)) or MANIFEST not in names:
        raise BackupTrouble("The manifest of this backup is missing, or a member is there twice.")
    with archive.open(MANIFEST) as member:
        manifest = from_json(member.read(LARGEST))
    if set(names) - {MANIFEST} != set(manifest.digests):
        raise BackupTrouble("This backup holds other files than its manifest says.")
    for name, size in manifest.sizes.items():
        _take_out(archive, name, folder / name, size)
    return manifest


def _take_out(archive: zipfile.ZipFile, name: str, target: Path, size: int) -> None:
    if size > shutil.disk_usage(target.parent if target.parent.exists() else "/").free:
        raise BackupTrouble(f"There is no room on the disk for {name}, {size} bytes.")
    target.parent.mkdir(exist_ok=True)
    left = size
    with archive.open(name) as member, target.open("wb") as file:
        while chunk := member.read(CHUNK):
            left -= len(chunk)
            if left < 0:
                raise BackupTrouble(f"{name} is longer than the manifest says: it was changed.")
            file.write(chunk)


def _check(folder: Path, manifest: Manifest, known_migrations: set[str]) -> Contents:
    for name, digest in manifest.digests.items():
        if sha256(folder / name) != digest:
            raise BackupTrouble(f"{name} is not what was backed up: its digest differs.")
    engine = engines.ENGINES.get(manifest.engine)
    if engine is None or engine.MEMBER not in manifest.digests:
        raise BackupTrouble(f"This backup is of a database that is not known: {manifest.engine}.")
    contents: Contents = engine.inspect(folder / engine.MEMBER)
    for table in sorted({*manifest.rows, *contents.rows}):
        said, found = manifest.rows.get(table), contents.rows.get(table)
        if said != found:
            raise BackupTrouble(f"{table} has {found} rows, and the manifest says {said}.")
    if contents.migrations != manifest.migrations:
        raise BackupTrouble("The migrations of this backup are others than its manifest says.")
    if later := sorted(set(manifest.migrations) - known_migrations):
        raise BackupTrouble(
            f"This backup was made by a newer version of navclass, which has {later[-1]}. "
            f"Install that version, then restore."
        )
    return contents
