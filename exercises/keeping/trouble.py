"""What goes wrong with backups, in words."""


class BackupTrouble(Exception):
    """A backup that cannot be made, read or put back. The message says why and what to do."""
