"""Passwords are hashed off the main path: one at a time for each process of the server, in one
beside it that gives way, so that wrong passwords do not hold up readings.

The hash takes a third of a second of computing by design, and there are two threads a process: who
comes while one is computed is asked to try again rather than given a thread to wait in. Rejected: a
thread of low priority, which now and then holds the interpreter's lock while it gives way.
"""

import base64
import subprocess
import sys
import threading
from pathlib import Path

from django.contrib.auth.hashers import PBKDF2PasswordHasher

TRY_AGAIN_S, LONGEST_S = 3, 60
BESIDE = Path(__file__).with_name("hash_beside.py")
_place = threading.Lock()


class Busy(Exception):
    """Another password is being hashed."""


class OneAtATime(PBKDF2PasswordHasher):
    """Django's own, in its turn. Raises Busy while another is computed."""

    def encode(self, password, salt, iterations=None):
        """The hash, as Django writes it."""
        self._check_encode_args(password, salt)
        if not _place.acquire(blocking=False):
            raise Busy
        try:
            iterations = iterations or self.iterations
            digest = _beside(str(iterations).encode(), salt.encode(), password.encode())
        finally:
            _place.release()
        return f"{self.algorithm}${iterations}${salt}${base64.b64encode(digest).decode()}"


def _beside(*parts):
    """PBKDF2 with SHA-256, computed in another process."""
    ended = subprocess.run(
        [sys.executable, "-I", "-S", str(BESIDE)],
        input="\n".join(part.hex() for part in parts),
        capture_output=True,
        text=True,
        check=True,
        timeout=LONGEST_S,
    )
    return bytes.fromhex(ended.stdout)
