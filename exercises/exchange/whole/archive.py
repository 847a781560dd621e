"""The file: a zip with `export.json`, the schema and a README. Nothing of it is written to a disk.

Its bytes follow from what it holds: members have no time of their own, and keys are in order.
"""

import io
import json
import zipfile
import zlib
from datetime import datetime
from pathlib import Path

from ...domain.words import say

FORMAT, VERSION = "navclass-export", 1
ROWS = "export.json"
FOLDER = Path(__file__).parent
BESIDE = {"schema.json": FOLDER / "schema.json", "README.md": FOLDER / "README.md"}
LARGEST_FILE, LARGEST_ROWS = 60_000_000, 400_000_000  # bytes, of the zip and of what it unfolds to
MOST_ROWS = 1_000_000
EPOCH = (1980, 1, 1, 0, 0, 0)  # the earliest time that a zip can tell


class NotExport(ValueError):
    """A file that is no export, or one that cannot be taken in. The message says why."""


def written(document):
    """The bytes of a document."""
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w") as archive:
        _add(archive, ROWS, as_json(document))
        for name, path in BESIDE.items():
            _add(archive, name, path.read_bytes())
    return content.getvalue()


def as_json(document):
    """The text of a document, of which there is one: keys in order, a space an indent."""
    return json.dumps(
        document, ensure_ascii=False, sort_keys=True, indent=1, allow_nan=False
    ).encode()


def _add(archive, name, content):
    entry = zipfile.ZipInfo(name, EPOCH)
    entry.compress_type = zipfile.ZIP_DEFLATED
    archive.writestr(entry, content)


def read(file):
    """The document of a file that is open for reading in bytes: its head is sound, its rows are
    lists of objects, and nothing is said of their fields yet. Raises NotExport.
    """
    try:
        with zipfile.ZipFile(file) as archive:
            text = _member(archive)
        document = json.loads(text, parse_constant=_refuse)
    except (zipfile.BadZipFile, zipfile.LargeZipFile, EOFError) as error:
        raise NotExport(
            say("This is no export of navclass, or it is damaged. Choose the zip as it was saved.")
        ) from error
    except (ValueError, RecursionError, RuntimeError, zlib.error) as error:
        if isinstance(error, NotExport):
            raise
        raise NotExport(
            say("The export cannot be read: it was changed or cut off. Export it once more.")
        ) from error
    return _checked(document)


def _member(archive):
    names = archive.namelist()
    strange = set(names) - {ROWS, *BESIDE}
    if strange or len(names) != len(set(names)) or ROWS not in names:
        raise NotExport(
            say("This zip holds other files than an export of navclass. Choose another one.")
        )
    with archive.open(ROWS) as member:
        text = member.read(LARGEST_ROWS + 1)
    if len(text) > LARGEST_ROWS:
        raise NotExport(say("The export is too large to be taken in."))
    return text


def _refuse(name):
    raise ValueError(name)


def _checked(document):
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise NotExport(say("This is no export of navclass. Choose the zip as it was saved."))
    if document.get("version") != VERSION:
        raise NotExport(
            say(
                "This export is of version {version}, and this server reads version {known}. "
                "Bring navclass up to date on the older of the two.",
                version=str(document.get("version"))[:20],
                known=VERSION,
            )
        )
    rows = document.get("rows")
    is_sound = isinstance(rows, dict) and all(
        isinstance(found, list) and all(isinstance(row, dict) for row in found)
        for found in rows.values()
    )
    if not is_sound:
        raise NotExport(
            say("The export cannot be read: it was changed or cut off. Export it once more.")
        )
    if sum(map(len, rows.values())) > MOST_ROWS:
        raise NotExport(say("The export is too large to be taken in."))
    return document


def moment_of(document):
    """When it was made, or None."""
    try:
        return datetime.fromisoformat(document.get("made_at"))
    except (TypeError, ValueError):
        return None
