"""A process of its own that hashes one password (`hashing.py`) and gives way to whoever works for
readings. It reads iterations, salt and password from its input, each in hexadecimal on a line, for
others can read a command line; it answers with the hash in hexadecimal.
"""

import hashlib
import os
import sys

GIVES_WAY = 10  # a tenth of the share of what it competes with, so that it still comes to an end

if __name__ == "__main__":
    if hasattr(os, "nice"):
        os.nice(GIVES_WAY)
    iterations, salt, password = (bytes.fromhex(line) for line in sys.stdin.read().split("\n"))
    sys.stdout.write(hashlib.pbkdf2_hmac("sha256", password, salt, int(iterations)).hex())
