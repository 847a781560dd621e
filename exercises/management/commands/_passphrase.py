"""The passphrase of a backup: from a file, from the settings, or typed. Never on a command line,
where others can read it.
"""

import getpass
from pathlib import Path

from django.conf import settings

from exercises.keeping import routine, sealing
from exercises.keeping.trouble import BackupTrouble

PROMPT = "prompt"


def add_passphrase(parser):
    """The option."""
    parser.add_argument(
        "--passphrase-file",
        default=None,
        metavar="FILE",
        help=f"a file whose first line closes the backup, or “{PROMPT}” to type it "
        "(NAVCLASS_BACKUP_PASSPHRASE_FILE without it)",
    )


def passphrase_of(options, *, twice=False):
    """The passphrase, empty for none. Raises BackupTrouble."""
    given = options["passphrase_file"] or settings.BACKUP_PASSPHRASE_FILE
    if given != PROMPT:
        return routine.read_passphrase(given)
    typed = getpass.getpass("Passphrase of the backup: ")
    if twice and typed != getpass.getpass("Once more: "):
        raise BackupTrouble("The two were not the same. Nothing was done.")
    return typed


def opening_passphrase(file, options):
    """The passphrase with which to open a file, empty where it is not closed."""
    if not (Path(file).is_file() and sealing.is_sealed(Path(file))):
        return ""
    return passphrase_of(options)
