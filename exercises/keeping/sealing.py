"""A file closed with a passphrase: scrypt (RFC 7914) makes the key, AES-256 in Galois counter mode
(NIST SP 800-38D) closes the file. README.md of this room opens one without this program.

    NAVSEAL1 | salt, 16 bytes | nonce, 12 bytes | the closed bytes | tag, 16 bytes

The first 36 bytes are authenticated with the rest. Each file has a salt of its own, hence a key of
its own. The costs of scrypt belong to the format: a file cannot ask for more memory than these.
"""

from __future__ import annotations

import os
import unicodedata
from pathlib import Path
from typing import BinaryIO

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers import Cipher, algorithms, modes
from cryptography.hazmat.primitives.kdf.scrypt import Scrypt

from .trouble import BackupTrouble

MAGIC = b"NAVSEAL1"
SALT, NONCE, TAG = 16, 12, 16  # bytes
HEAD = len(MAGIC) + SALT + NONCE
# 128 MiB and about a third of a second: OWASP Password Storage Cheat Sheet, scrypt
COST_N, COST_R, COST_P = 2**17, 8, 1
SHORTEST = 12  # characters of a passphrase: whoever has the file may guess without end
CHUNK = 1 << 20


def _key(passphrase: str, salt: bytes) -> bytes:
    """Text is composed first (NFKC), so that it is the same from every keyboard."""
    plain = unicodedata.normalize("NFKC", passphrase).encode()
    return Scrypt(salt=salt, length=32, n=COST_N, r=COST_R, p=COST_P).derive(plain)


def is_sealed(path: Path) -> bool:
    """Whether a file says that it was closed with a passphrase."""
    with path.open("rb") as file:
        return file.read(len(MAGIC)) == MAGIC


def seal(plain: BinaryIO, closed: BinaryIO, passphrase: str) -> None:
    """Write `plain` closed with a passphrase. Raises BackupTrouble for one that is too short."""
    if len(passphrase) < SHORTEST:
        raise BackupTrouble(
            f"The passphrase is too short: whoever finds the file can guess without end. "
            f"Use {SHORTEST} characters or more, several words for example."
        )
    salt, nonce = os.urandom(SALT), os.urandom(NONCE)
    head = MAGIC + salt + nonce
    encryptor = Cipher(algorithms.AES256(_key(passphrase, salt)), modes.GCM(nonce)).encryptor()
    encryptor.authenticate_additional_data(head)
    closed.write(head)
    while chunk := plain.read(CHUNK):
        closed.write(encryptor.update(chunk))
    closed.write(encryptor.finalize() + encryptor.tag)


def unseal(path: Path, plain: BinaryIO, passphrase: str) -> None:
    """Write what a closed file holds. Raises BackupTrouble for a wrong passphrase or a damaged
    file, which look alike; what was written until then is not to be used.
    """
    length = path.stat().st_size - HEAD - TAG
    with path.open("rb") as closed:
        head = closed.read(HEAD)
        if length < 0 or not head.startswith(MAGIC):
            raise BackupTrouble(f"{path.name} is cut off or no sealed backup. Take another one.")
        salt, nonce = head[len(MAGIC) : len(MAGIC) + SALT], head[-NONCE:]
        closed.seek(HEAD + length)
        tag = closed.read(TAG)
        closed.seek(HEAD)
        decryptor = Cipher(
            algorithms.AES256(_key(passphrase, salt)), modes.GCM(nonce, tag)
        ).decryptor()
        decryptor.authenticate_additional_data(head)
        while length:
            chunk = closed.read(min(CHUNK, length))
            length -= len(chunk)
            plain.write(decryptor.update(chunk))
    try:
        plain.write(decryptor.finalize())
    except InvalidTag as error:
        raise BackupTrouble(
            f"{path.name} does not open: the passphrase is another one, or the file is damaged."
        ) from error
